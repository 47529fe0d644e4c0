"""What is tried with a controller: people, sensors, power, what a proof has refuted."""
