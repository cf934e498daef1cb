"""The use cases: what the faces offer. Thin over the studies."""
