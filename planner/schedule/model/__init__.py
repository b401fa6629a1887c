"""The CP-SAT model of a day: variables, rules, bounds and the terms of the objective."""
