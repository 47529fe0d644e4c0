"""Whether a plan's logic, at any scan times that are allowed, does what a controller was seen to do."""
