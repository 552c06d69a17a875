"""A simulated reef and its keeper: truth to judge the estimator by.

Finer and less linear than any model that reads its output, and written without looking at one.
Nothing here proves anything about real water; it only tells whether an answer's intervals hold
and whether its errors are smaller than those of the methods that people use by hand.
"""
