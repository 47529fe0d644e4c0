"""OPC UA: the one door to asyncua."""
