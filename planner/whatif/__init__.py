"""What-ifs: a job varied and planned case by case, and how sure a plan is when days go otherwise.

Names are imported from the files they stand in: a watchbill that asks how sure a plan is does not load what
plans case by case.
"""
