"""Passage: whether a rigid body goes through an opening into its place."""
