"""Labels of parcels and pallets: a list for a label printer's program, and sheets to print and cut."""
