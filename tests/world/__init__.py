"""The one made-up world of the tests: its parts, and the days that are built of them.

`parts` makes people, outfits, dives, spells and whole days; `changed` makes copies with one thing changed.
Each other module is a day or a crew: `quay` (its table numbers typed in by hand), `pier`, `reservoir`,
`harbour`, `lock`; `chamber_day` and `longer_days` are the quay's day stretched, `worked_days` hours for the
office. `sample_plans` plans the samples once a run, `random_cases` says how many random cases a fact is held
for, `office` has LibreOffice open or print a workbook. Names and places are invented.
"""
