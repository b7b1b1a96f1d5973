#include "rehearsal/live.h"

#include "base/memory.h"

#include <stdatomic.h>

/* A wait is cut into slices of so much of the machine's time, so that live_stop is heard. */
static const double slice_s = 0.05;
/* A listener further behind than this, by the machine, has missed what came meanwhile. */
static const double patience_s = 1;

struct live_meter {
    const struct shown *shown;
    double *t_s; /* by the meter's own clock, which begins again when it forgets itself in the dark */
    int decimals[CHANNELS];
};

struct listener {
    struct live *live;
    enum script_meter meter;
    bool waits;
    size_t next; /* row; its own thread's */
};

struct live {
    const struct rehearsal *rehearsal;
    const struct clock *clock;
    struct live_meter meters[METERS];
    struct listener listeners[LIVE_LISTENERS];
    int listener_count;
    double end_s;
    atomic_bool begun, stopped;
    _Atomic int64_t origin_ns; /* of the clock, at the first instant; set before `begun` */
    atomic_flag taken;         /* by whoever begins it */
};

static const char *const identities[METERS] = {"Invented,Bench meter,B021,1.0",
                                               "Invented,Shunt meter,S021,1.0", "Invented,Probe,P021,1.0"};
static const enum channel shows[METERS][4] = {
    {CHANNEL_VOLTAGE, CHANNEL_CURRENT},
    {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_CHARGE_TALLY, CHANNEL_ENERGY_TALLY},
    {CHANNEL_TEMPERATURE},
};
static const int shows_count[METERS] = {2, 4, 1};

static bool dark_at(const struct shown *shown, size_t row)
{
    return isnan(shown->degc[row]) && isnan(shown->v[row]);
}

static void open_meter(struct live *live, enum script_meter which)
{
    struct live_meter *meter = &live->meters[which];
    const struct instrument_make *make = &live->rehearsal->script->meters[which];
    const struct shown *shown = meter->shown = &live->rehearsal->shown[which];
    const double digits[CHANNELS] = {[CHANNEL_VOLTAGE] = make->v.digit,
                                     [CHANNEL_CURRENT] = make->a.digit,
                                     [CHANNEL_TEMPERATURE] = make->degc.digit,
                                     [CHANNEL_CHARGE_TALLY] = make->tally_ah_digit,
                                     [CHANNEL_ENERGY_TALLY] = make->tally_wh_digit};
    for (int c = 0; c < CHANNELS; c++)
        meter->decimals[c] = decimals_of_digit(digits[c]);
    meter->t_s = memory_get(shown->count * sizeof *meter->t_s);
    double zero_s = 0;
    for (size_t k = 0; k < shown->count; k++) {
        if (k > 0 && dark_at(shown, k - 1) && !dark_at(shown, k) && make->tally_dark == TALLY_RESTARTS)
            zero_s = shown->t_s[k];
        meter->t_s[k] = shown->t_s[k] - zero_s;
    }
}

struct live *live_new(const struct rehearsal *rehearsal, const struct clock *clock)
{
    struct live *live = memory_get(sizeof *live);
    live->rehearsal = rehearsal;
    live->clock = clock;
    live->end_s = rehearsal->truth.intervals[rehearsal->truth.count].t_s;
    atomic_flag_clear(&live->taken);
    for (int k = 0; k < METERS; k++)
        open_meter(live, (enum script_meter)k);
    return live;
}

void live_free(struct live *live)
{
    if (live == NULL)
        return;
    for (int k = 0; k < METERS; k++)
        free(live->meters[k].t_s);
    free(live);
}

void live_begin_at(struct live *live, double t_s)
{
    if (atomic_flag_test_and_set(&live->taken))
        return;
    atomic_store(&live->origin_ns, live->clock->now_ns(live->clock->context) - llround(t_s * 1e9));
    atomic_store(&live->begun, true);
}

void live_begin(struct live *live)
{
    live_begin_at(live, 0);
}

bool live_begun(const struct live *live)
{
    return atomic_load(&live->begun);
}

double live_s(const struct live *live)
{
    if (!live_begun(live))
        return 0;
    return (double)(live->clock->now_ns(live->clock->context) - atomic_load(&live->origin_ns)) * 1e-9;
}

bool live_over(const struct live *live)
{
    return atomic_load(&live->stopped) || live_s(live) > live->end_s;
}

void live_stop(struct live *live)
{
    atomic_store(&live->stopped, true);
}

static double value_at(const struct shown *shown, size_t row, enum channel channel)
{
    switch (channel) {
    case CHANNEL_VOLTAGE: return shown->v[row];
    case CHANNEL_CURRENT: return shown->a[row];
    case CHANNEL_TEMPERATURE: return shown->degc[row];
    case CHANNEL_CHARGE_TALLY: return shown->tally_ah[row];
    case CHANNEL_ENERGY_TALLY: return shown->tally_wh[row];
    default: return NAN;
    }
}

static void fill(const struct listener *listener, size_t row, struct serve_row *ret_row)
{
    const struct live_meter *meter = &listener->live->meters[listener->meter];
    *ret_row = (struct serve_row){.time_s = meter->t_s[row]};
    for (int k = 0; k < shows_count[listener->meter]; k++) {
        enum channel channel = shows[listener->meter][k];
        ret_row->cells[k] = decimal_of(value_at(meter->shown, row, channel), meter->decimals[channel]);
    }
}

/* The first row that is really taken after `t_s`. */
static size_t first_after(const struct shown *shown, double t_s)
{
    size_t from = 0, to = shown->count;
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (shown->true_s[middle] <= t_s)
            from = middle + 1;
        else
            to = middle;
    }
    return from;
}

static bool row_now(void *context, struct serve_row *ret_row)
{
    const struct listener *listener = context;
    struct live *live = listener->live;
    if (!listener->waits)
        live_begin(live);
    const struct shown *shown = live->meters[listener->meter].shown;
    size_t after = first_after(shown, live_s(live));
    size_t row = after > 0 ? after - 1 : 0;
    if (live_over(live) || shown->count == 0 || dark_at(shown, row))
        return false;
    fill(listener, row, ret_row);
    return true;
}

/* Waits until the bench has come to `t_s`; false when it was stopped. */
static bool wait_until(const struct live *live, double t_s)
{
    const struct clock *clock = live->clock;
    while (!atomic_load(&live->stopped)) {
        double left_s = live_begun(live) ? t_s - live_s(live) : INFINITY;
        if (left_s <= 0)
            return true;
        double step_s = fmin(left_s, slice_s * clock->rate);
        clock->wait_ns(clock->context, clock->now_ns(clock->context) + (int64_t)ceil(step_s * 1e9));
    }
    return false;
}

static bool row_next(void *context, struct serve_row *ret_row, bool *ret_dark)
{
    struct listener *listener = context;
    struct live *live = listener->live;
    if (!listener->waits)
        live_begin(live);
    const struct shown *shown = live->meters[listener->meter].shown;
    size_t missed = first_after(shown, live_s(live) - patience_s * live->clock->rate);
    if (listener->next < missed)
        listener->next = missed;
    if (listener->next >= shown->count || !wait_until(live, shown->true_s[listener->next]))
        return false;
    size_t row = listener->next++;
    *ret_dark = dark_at(shown, row);
    if (!*ret_dark)
        fill(listener, row, ret_row);
    return true;
}

struct serve_view live_view(struct live *live, enum script_meter meter, bool waits)
{
    struct listener *listener = &live->listeners[live->listener_count++ % LIVE_LISTENERS];
    *listener = (struct listener){live, meter, waits, 0};
    struct serve_view view = {.identity = identities[meter],
                              .channel_count = shows_count[meter],
                              .row = row_now,
                              .next = row_next,
                              .context = listener};
    memcpy(view.channels, shows[meter], sizeof shows[meter]);
    return view;
}
