"""An attack on the scheduler's proofs: small random jobs, plans moved at random, the check as the only judge.

`jobs` makes a job of a seed, with any of the switches on; `moves` changes a plan as a person might; `claims`
works out the value of each stage again and puts it beside the bounds that the scheduler told; `replay` puts a
plan into the scheduler's model; `run` attacks one seed, `python -m tests.attack` many.
"""
