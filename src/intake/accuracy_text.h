/* Accuracy as makers print it: `0.5 % + 3 digits`, `±(0.8 %rdg + 5 dgt)`, `1 % of 100 A range`,
 * `0.05 % + 2 mV`, `± 0.2 V`; and a shunt: `class 0.5, 500 A / 50 mV`. */
#ifndef RUNDOWN_INTAKE_ACCURACY_TEXT_H
#define RUNDOWN_INTAKE_ACCURACY_TEXT_H

#include "base/status.h"
#include "base/text.h"
#include "quantity/accuracy.h"

/* Reads the terms into gain, offset, digits and as_printed, and sets `stated`; keeps what else
 * *accuracy holds. `own_per_volt` turns volts into the channel's unit for a channel read across a
 * shunt (500 A / 0.05 V = 10 000), 0 elsewhere. Faults as amount_read does: the column is a byte from 0. */
enum status accuracy_read(struct span text, enum quantity quantity, double own_per_volt,
                          struct accuracy *accuracy, struct message *message);

struct shunt {
    double gain;        /* half-width, fraction of reading */
    double amps, volts; /* as rated; NaN when not stated */
};

enum status shunt_read(struct span text, struct shunt *ret_shunt, struct message *message);

#endif
