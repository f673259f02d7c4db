package transport

// Saturation is opened for the tests.
var Saturation = saturation
