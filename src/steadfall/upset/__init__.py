"""Single failures, one at a time: the plan's own logic answers, the plant shows the consequence."""
