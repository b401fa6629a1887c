"""Gear: outfits as matched sets, inspection and dressing lists, hold points, cards."""
