"""Logic and plant coupled at the scan time: from a Plan to a Prediction."""
