"""The plant: bodies, gas, circuits of water, steam and air, valves; one step at a time, with closed books."""
