/* MQTT: instruments that publish to a broker. One broker may carry several benches, each on topics of its own.
 *
 *     driver   = mqtt
 *     address  = tcp broker.hut:1883      1883 when unsaid, 8883 with TLS
 *     voltage from = topic hut/bench/volts
 *     current from = topic hut/bench/all field amps in mA
 *
 * Settings: `user`, `password` or `password file`, `client id`; `tls = yes`, `cafile`, `certfile`, `keyfile` (any of
 * them means TLS); `within = 0.1 s`: messages on several topics that come so close make one reading. A message that
 * the broker had kept from before (retained) is of an unknown instant and is dropped. Subscribed at quality of
 * service 0, so that nothing comes twice. */
#ifndef RUNDOWN_INSTRUMENT_MQTT_H
#define RUNDOWN_INSTRUMENT_MQTT_H

#include "instrument/driver.h"

extern const struct driver mqtt_driver;

/* libmosquitto, made ready once in the life of the program. */
void mqtt_library(void);

#endif
