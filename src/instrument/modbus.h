/* Modbus: instruments that keep their readings in registers, over a serial line (RTU) or a socket (TCP).
 *
 *     driver  = modbus
 *     address = tcp 192.168.7.20:502        or serial /dev/ttyUSB0 19200 8E1
 *     unit id = 3                           1 when unsaid
 *     period  = 1 s
 *     voltage from = input 0x0012 u32 swapped times 0.001
 *
 * Sources as instrument/modbus_map.h has them. Each poll reads neighbouring registers in one request; the
 * reading's instant is the middle of all its exchanges. A request that the instrument refuses leaves its channels
 * missing and is told at the next call; the others are read all the same. */
#ifndef RUNDOWN_INSTRUMENT_MODBUS_H
#define RUNDOWN_INSTRUMENT_MODBUS_H

#include "instrument/driver.h"

extern const struct driver modbus_driver;

#endif
