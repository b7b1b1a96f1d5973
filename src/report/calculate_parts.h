/* What the calculations of calculate.h have in common; of this folder only. */
#ifndef RUNDOWN_REPORT_CALCULATE_PARTS_H
#define RUNDOWN_REPORT_CALCULATE_PARTS_H

#include "quantity/unit.h"
#include "report/calculate.h"

extern const struct calculation calculate_wire, calculate_thermistor, calculate_cellcode, calculate_casesize;

/* A fault of a field: `length cannot use 'x'`, and how it is given. */
enum status calculate_refuse(const char *field, const char *value, const char *example, struct message *message);

/* The whole of the words as a number of that quantity, between least and most, both left out; without a unit it is
 * `factor` times its own unit, and where that is NaN it is refused: 22 may be meant as centimetres or metres. */
struct calculate_amount {
    const char *field, *example;
    enum quantity quantity;
    double factor, least, most;
};
enum status calculate_take(const struct calculate_amount *amount, const char *value, double *ret_value, struct message *message);
enum status calculate_take_switch(const char *field, const char *value, bool *ret_on, struct message *message);

#endif
