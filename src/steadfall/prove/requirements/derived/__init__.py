"""The requirements that follow from any plan without being asked, one file a subject."""
