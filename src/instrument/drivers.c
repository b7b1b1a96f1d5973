#include "instrument/drivers.h"

#include "instrument/modbus.h"
#include "instrument/mqtt.h"

const struct driver *const drivers[] = {&scpi_driver, &lines_driver, &file_driver, &modbus_driver,
                                        &mqtt_driver, &none_driver,  NULL};
