"""A plan's lists, workbook and calendar out over HTTP; tables of orders in."""
