#include "check.h"

#include "battery/direction.h"

enum { ROWS = 900 };

/* Rest, constant power with a burst, then a BMS that opens: amps and volts fall to nothing together. */
static struct trace discharge(double *t_s, double *v, double *a, int sign)
{
    for (int k = 0; k < ROWS; k++) {
        double drain = k / (double)ROWS;
        double amps = k < 60 ? 0 : k >= 430 && k < 470 ? 96.3 : 24.1;
        t_s[k] = 2.0 * k;
        v[k] = 13.3 - 0.4 * drain - 0.0131 * amps - 2.9 * exp(-40 * (0.87 - drain));
        a[k] = sign * amps;
        if (k >= 800)
            v[k] = 0.02, a[k] = 0;
    }
    return (struct trace){.count = ROWS, .t_s = t_s, .v = v, .a = a};
}

TEST(a_dark_terminal_says_nothing_about_the_sign)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int sign = -1; sign <= 1; sign += 2) {
        struct trace trace = discharge(t_s, v, a, sign);
        struct direction direction = direction_find(&trace);
        CHECK(direction.sign == sign);
        CHECK(direction.weight > 0.9);
    }
}

TEST(rest_and_missing_volts_cannot_tell)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    struct trace trace = discharge(t_s, v, a, 1);
    trace.count = 55;
    CHECK(direction_find(&trace).sign == 0);
    trace.count = ROWS;
    trace.v = NULL;
    CHECK(direction_find(&trace).sign == 0);
}
