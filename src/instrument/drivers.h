/* The drivers that need no header of their own; drivers.c holds the table of all. */
#ifndef RUNDOWN_INSTRUMENT_DRIVERS_H
#define RUNDOWN_INSTRUMENT_DRIVERS_H

#include "instrument/driver.h"

extern const struct driver file_driver, lines_driver, none_driver, scpi_driver;

#endif
