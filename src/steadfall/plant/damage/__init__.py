"""What breaks plants, by published formulas: thermal stress of the wall, water hammer, water left to
flash.
"""
