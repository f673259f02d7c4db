// Package physics is the parent of the calculation packages. It holds no code.
//
// Each package below it is made of pure functions on SI values: metres, kelvin
// or degrees Celsius as said, pascals, kilograms, seconds and watts. Relative
// humidity is a fraction from 0 to 1. None of them knows of questions or causes.
//
//   - moistair: saturation pressure, dew point, wet bulb, humidity, enthalpy and
//     density of air.
//   - fabric: materials, layers, U-values by ISO 6946 with corrections and tapers,
//     moist conductivity by ISO 10456 with a band, the temperature of a roof
//     surface under sun and clear sky.
//   - condense: the monthly condensation balance and drying of ISO 13788, the
//     surface temperature factor for mould, the period method of DIN 4108-3 and
//     the drying reserve.
//   - transport: heat and moisture hour by hour by EN 15026.
//   - airflow: leaks, stack and wind pressure, the moisture they carry,
//     ventilation openings, the ventilated void, the frost it stores and lets go,
//     and insulation that outside air gets under.
//   - drainage: rain, outlets, pipes and gutters, blocked outlets, the load of
//     water, flow through a hole, water in a lap, upstand heights.
//   - climate: monthly outdoor climate by place, years of hours (read, embedded or
//     made from months) and design rain by UK area.
//   - timber: moisture content, mould index, rot, and a joist depth guess.
//   - energy: degree hours and what lost heat costs.
//   - spread: what is not known about inputs carried through to a band.
//
// Each exported function names its standard or source. The words "from memory
// of" before a source mean that the value was not read in that document and is
// to be checked against it before anyone relies on it.
package physics
