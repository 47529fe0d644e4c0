"""What views are made of: each file a part of one view, or of several."""
