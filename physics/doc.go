// Package physics is the parent of the calculation packages. It holds no code.
//
// Each package below it is made of pure functions on SI values: metres, kelvin
// or degrees Celsius as said, pascals, kilograms, seconds and watts. Relative
// humidity is a fraction from 0 to 1. None of them knows of questions or causes.
//
//   - moistair: saturation pressure, dew point, humidity and density of air.
//   - fabric: materials, layers, U-values by ISO 6946, moist conductivity by
//     ISO 10456, the temperature of a roof surface under sun and clear sky.
//   - condense: the monthly condensation balance and drying of ISO 13788, the
//     surface temperature factor for mould, the period method of DIN 4108-3.
//   - airflow: leaks, stack and wind pressure, the moisture they carry,
//     ventilation openings, the ventilated void and the frost it stores.
//   - drainage: rain, outlets, pipes and gutters, blocked outlets, the load of
//     water, flow through a hole, upstand heights.
//   - climate: monthly outdoor climate by place and design rain by UK area.
//   - timber: moisture content, mould index and a joist depth guess.
//
// Each exported function names its standard or source. The words "from memory
// of" before a source mean that the value was not read in that document and is
// to be checked against it before anyone relies on it.
package physics
