"""Proof over every path that no step asks for something dangerous before its gate."""
