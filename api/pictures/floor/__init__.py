"""The floor over time: presses and their runs, colour changes and purge, benches, pick-ups, promised days."""

from api.pictures.floor.picture import UNZOOMED, Links, Window, floor_svg

__all__ = ["UNZOOMED", "Links", "Window", "floor_svg"]
