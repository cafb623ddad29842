"""From packed units to parcels that leave: cartons, weights, pallets, lifting, labels, customs facts."""
