"""The stages of the objective and one stage of the search."""
