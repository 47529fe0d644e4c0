"""Figures: charts, ribbons and strips on one time axis, as inline SVG."""
