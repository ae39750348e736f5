"""Physics as plain functions on floats and arrays, one file per phenomenon. SI units throughout."""
