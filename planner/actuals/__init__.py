"""What happened on the floor, and the campaign as it stands now: stock, presses, orders left, runs begun."""
