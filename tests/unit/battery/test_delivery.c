#include "handmade.h"

#include "battery/delivery.h"

/* Runs of so many ampere-seconds each, positive out of the sample; 0 is a rest. */
static void find(const double *coulombs, size_t count, size_t *ret_first, size_t *ret_last)
{
    struct run runs[16] = {0};
    struct throughput throughs[16] = {0};
    for (size_t k = 0; k < count; k++) {
        runs[k].kind = coulombs[k] > 0 ? RUN_DISCHARGE : coulombs[k] < 0 ? RUN_CHARGE : RUN_REST;
        throughs[k].sums.charge_c =
            coulombs[k] != 0 ? coulombs[k] : 1e5; /* a rest counts nothing whatever it shows */
    }
    CHECK(delivery_find(runs, throughs, count, ret_first, ret_last));
}

TEST(the_larger_of_two_discharges_with_a_full_charge_between)
{
    size_t first, last;
    const double cycle[] = {0, 3580, 0, -3650, 0, 3610, 0};
    find(cycle, 7, &first, &last);
    CHECK(first == 5 && last == 5);
}

TEST(rests_and_short_charge_pulses_do_not_part_a_test)
{
    size_t first, last;
    const double interrupted[] = {-3600, 0, 900, 0, 1100, 0, 1500, 0, -3600};
    find(interrupted, 9, &first, &last);
    CHECK(first == 2 && last == 6);
    const double pulses[] = {250, 0, -60, 3000, 0, 250, 0, -60, 3000, 0, 250, -60};
    find(pulses, 12, &first, &last);
    CHECK(first == 0 && last == 10);
}

TEST(half_a_charge_between_does)
{
    size_t first, last;
    const double half[] = {3000, -1500, 3200, 0};
    find(half, 4, &first, &last);
    CHECK(first == 2 && last == 2);
}

TEST(what_a_charger_wakes_is_no_part_of_the_test)
{
    struct run runs[] = {
        {.kind = RUN_DISCHARGE, .ended = {.by = ENDED_BMS}}, {.kind = RUN_CHARGE}, {.kind = RUN_DISCHARGE}};
    struct throughput throughs[3] = {{.sums.charge_c = 3333}, {.sums.charge_c = -20}, {.sums.charge_c = 90}};
    size_t first, last;
    CHECK(delivery_find(runs, throughs, 3, &first, &last));
    CHECK(first == 0 && last == 0);
    runs[0].ended.by = ENDED_OPERATOR;
    CHECK(delivery_find(runs, throughs, 3, &first, &last));
    CHECK(first == 0 && last == 2);
}

TEST(no_discharge_no_test)
{
    struct run runs[] = {{.kind = RUN_REST}, {.kind = RUN_CHARGE}};
    struct throughput throughs[2] = {{.sums.charge_c = 12}, {.sums.charge_c = -3000}};
    size_t first, last;
    CHECK(!delivery_find(runs, throughs, 2, &first, &last));
}
