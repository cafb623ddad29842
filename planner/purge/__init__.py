"""What a colour change costs: kilograms of melt shot to waste for each ordered pair of melts in a barrel.

Read in this order, each module one step of the sum:

colour      an appearance (hex, CIELAB, measured reflectance) as reflectance per band
finish      what a finish does to the sum, and its common-practice cautions
mixing      Kubelka-Munk: the colour of melt that still holds a fraction of the old colour
difference  CIELAB and CIEDE2000 on arrays
tolerance   the largest fraction of the old colour that cannot be seen on a surface
opacity     how much may be left at most by the finish of both, whatever the difference says
washout     how many hold-ups wash the barrel down to that fraction
estimate    hold-ups for each ordered pair of melts, resin changes included
factor      one barrel's own factor, fitted robustly with a prior
log         logged purges, each counted or set aside with the reason
given       figures given for a pair
compound    what each pair takes with a purging compound, and where that serves the aim better
barrel      how much melt a purge has to wash out
basis       measured, given or estimated
matrix      `purge_figures`: which figure holds for each pair - measured, given or estimated - and its range
cost        shots, minutes and money of a purge
table       every changeover of a barrel with its shots, minutes and money
figures     a campaign's matrices, one for each barrel
order       the order of a set of colours that purges least, and light-to-dark beside it
local_search  the same for more colours than can be proven
sanity      findings about a set of colours, with remedies, before the first shot
findings    the same for a whole campaign: which tool, press and barrel
cautions    what finishes and strong pigments want one to mind

Every estimate is a planning figure with a range, never a promise.
"""
