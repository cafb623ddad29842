"""The floor over time: presses and their runs, colour changes and purge, benches, pick-ups, promised days."""

from api.pictures.floor.picture import Window, floor_svg

__all__ = ["Window", "floor_svg"]
