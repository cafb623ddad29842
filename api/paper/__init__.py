"""Paper for the workshop: one PDF with a sheet for the campaign, each run, the benches, the pick-ups and the buying."""
