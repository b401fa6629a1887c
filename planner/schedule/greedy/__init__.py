"""The first plan by rule of thumb: dives placed one after another, the order improved by local search."""
