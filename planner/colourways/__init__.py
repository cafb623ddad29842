"""The price of a colourway: what one more, or one fewer, costs, by planning both ways.

fewer    the campaign without one of its colourways
more     the campaign with one more
price    two run plans compared: purge, hours, minimum orders, money, days per tier
both     planning both ways with one budget and one seed
"""
