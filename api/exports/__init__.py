"""Files out: lists as CSV and in one workbook, events as a calendar; plain rows in, safe files out."""
