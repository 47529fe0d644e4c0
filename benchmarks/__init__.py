"""Measurements of speed and memory; `make bench` prints them all. Nothing here is a test."""
