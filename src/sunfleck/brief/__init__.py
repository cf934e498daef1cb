"""The brief: a plan with its references bound, in SI arrays, with named uncertain factors."""
