#include "instrument/drivers.h"

#include "instrument/modbus.h"

const struct driver *const drivers[] = {&modbus_driver, &none_driver, NULL};
