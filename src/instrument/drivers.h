/* The drivers of this folder, one file each; drivers.c holds the table. */
#ifndef RUNDOWN_INSTRUMENT_DRIVERS_H
#define RUNDOWN_INSTRUMENT_DRIVERS_H

#include "instrument/driver.h"

extern const struct driver none_driver;

#endif
