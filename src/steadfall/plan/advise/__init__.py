"""Advice: what a plan may say, but what a careful technician would look at again."""
