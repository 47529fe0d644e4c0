"""Modbus TCP: the one door to pymodbus."""
