"""The one made-up world of the tests: its parts, and the days that are built of them.

`parts` makes people, outfits, dives, spells and whole days; `changed` makes copies with one thing changed.
Each other module is a day or a crew: `quay` (its table numbers typed in by hand), `pier`, `reservoir`,
`harbour`, `lock`. Names and places are invented.
"""
