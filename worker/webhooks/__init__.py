"""Telling a workshop's own programs that a plan ended: signed, tried again, never to addresses inside."""
