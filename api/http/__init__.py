"""What HTTP itself asks for: who may call, bodies, errors, pacing, events; no subject of the trade."""
