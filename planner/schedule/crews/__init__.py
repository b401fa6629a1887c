"""The people and outfits of a draft whose times are settled: exact, or by rule of thumb on a large day."""
