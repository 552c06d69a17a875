"""From the estimate to the act: corrections, dosing, solutions, water changes, and what follows.

Pure arithmetic over draws of a belief. The nouns that leave this house as a plan are in
``brinebook.plan``; the desk turns what is reckoned here into them, with words.
"""
