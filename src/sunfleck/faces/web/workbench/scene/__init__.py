"""The enclosure in space, as an element of a page."""
