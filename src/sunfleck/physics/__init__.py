"""Physics as functions on floats and arrays: spectra, closed forms of sources, transport of light."""
