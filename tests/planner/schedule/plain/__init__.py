"""A slow and plain reading of planner/RULES.md, to hold the compiled evaluator against.

Written from the rules: objects and lists, every start worked out afresh, every shot's second known, no shared code.
Each file is named after the module of `planner/schedule` that it is held against.
"""
