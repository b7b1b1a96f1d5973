#include "instrument/drivers.h"

#include "instrument/modbus.h"

const struct driver *const drivers[] = {&lines_driver, &file_driver, &modbus_driver, &none_driver, NULL};
