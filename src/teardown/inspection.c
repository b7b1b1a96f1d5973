#include "teardown/inspection.h"

#include <math.h>

struct rated rated_nothing(void)
{
    return (struct rated){.continuous_a = NAN, .peak_a = NAN, .charge_a = NAN, .rated_ah = NAN, .rated_wh = NAN,
                          .nominal_v = NAN, .mass_kg = NAN, .length_mm = NAN, .width_mm = NAN, .height_mm = NAN,
                          .air_degc = NAN};
}

const char *const opened_cautions[] = {NULL};

enum status inspect(const struct opened *opened, const struct rated *rated, struct inspection *ret_inspection,
                    struct message *message)
{
    (void)opened, (void)rated, (void)message;
    *ret_inspection = (struct inspection){.weakest_a = NAN, .weakest = SIZE_MAX};
    return STATUS_OK;
}

void inspection_free(struct inspection *inspection)
{
    *inspection = (struct inspection){0};
}
