/* What the watch costs: by the reading at 1 kHz, and by the forecast at several hours of a run of a reading a second.
 * usage: watch_rate */
#include "bench/watch.h"

#include <time.h>

static struct reading_now reading(double t_s, long k)
{
    struct reading_now now = reading_none(t_s);
    now.v = 13.2 - 1e-5 * t_s + 0.01 * (double)(k % 3);
    now.a = 4.1 + 0.1 * (double)(k * 7919 % 5);
    now.degc = 21.3;
    return now;
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static struct watch *fresh(void)
{
    static struct rig rig;
    static struct label label;
    rig = rig_default();
    label = label_empty();
    label.rated_ah = 100, label.rated_wh = 1280, label.cells = 4;
    label.lithium_iron_phosphate = true;
    const struct watch_setup setup = {.label = &label, .rig = &rig, .limits = limits_usual(&label, false),
                                      .goal = GOAL_DISCHARGE};
    return watch_new(&setup);
}

int main(void)
{
    enum { READINGS = 1000000, DAY = 86400, FORECASTS = 200 };
    struct call calls[WATCH_CALLS];
    struct watch *watch = fresh();
    double before = seconds();
    for (long k = 0; k < READINGS; k++) {
        struct reading_now now = reading(1e-3 * (double)k, k);
        (void)watch_reading(watch, &now, calls);
    }
    printf("%.3f µs a reading at 1 kHz, its own forecasts included\n", 1e6 * (seconds() - before) / READINGS);
    watch_free(watch);
    watch = fresh();
    for (long k = 1; k <= DAY; k++) {
        struct reading_now now = reading((double)k, k);
        (void)watch_reading(watch, &now, calls);
        if (k % (DAY / 8) != 0)
            continue;
        double spent = 0;
        for (long f = 0; f < FORECASTS; f++) { /* each with a reading of its own, or it would not be made anew */
            now = reading((double)(k + f + 1), f);
            (void)watch_reading(watch, &now, calls);
            before = seconds();
            (void)watch_forecast(watch);
            spent += seconds() - before;
        }
        k += FORECASTS;
        printf("%.0f µs a forecast after %ld h\n", 1e6 * spent / FORECASTS, k / 3600);
    }
    watch_free(watch);
    return 0;
}
