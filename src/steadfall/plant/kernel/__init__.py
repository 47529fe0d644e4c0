"""One step of the plant, compiled: circuits, walls, bodies, with closed books."""
