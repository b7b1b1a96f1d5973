#include "bench/latest.h"

#include "base/memory.h"

#include <strings.h>

static const double typed_fresh_s = 600, least_fresh_s = 2, periods = 3;

struct value {
    double value, t_s; /* own unit; NaN before the first */
};

struct told {
    double fresh_s;
    struct value of[LINK_CHANNELS];
};

struct latest {
    const struct links *links;
    struct told *told; /* one an instrument */
    struct value typed[CHANNELS];
};

struct latest *latest_new(const struct links *links, double slack_s)
{
    struct latest *latest = memory_get(sizeof *latest);
    latest->links = links;
    latest->told = memory_get((links->count + 1) * sizeof *latest->told);
    for (size_t k = 0; k < links->count; k++) {
        const struct link *link = &links->items[k];
        latest->told[k].fresh_s =
            fmax(fmax(periods * link->period_s, link->timeout_s), least_fresh_s) + slack_s;
        for (int c = 0; c < LINK_CHANNELS; c++)
            latest->told[k].of[c] = (struct value){NAN, NAN};
    }
    for (int c = 0; c < CHANNELS; c++)
        latest->typed[c] = (struct value){NAN, NAN};
    return latest;
}

void latest_free(struct latest *latest)
{
    if (latest == NULL)
        return;
    free(latest->told);
    free(latest);
}

void latest_heard(struct latest *latest, size_t instrument, const struct arrival *arrival, double t_s)
{
    const struct link *link = &latest->links->items[instrument];
    for (int c = 0; c < link->channel_count; c++) {
        uint8_t kind = arrival->cells[c].kind;
        if (kind == DECIMAL_MISSING)
            continue;
        double value = decimal_value(arrival->cells[c]); /* an overload is heard, and is no number */
        latest->told[instrument].of[c] = (struct value){unit_own(value, &link->channels[c].unit), t_s};
    }
}

static void typed(struct latest *latest, enum channel channel, double value, double t_s)
{
    if (isfinite(value))
        latest->typed[channel] = (struct value){value, t_s};
}

void latest_typed(struct latest *latest, const struct reading_now *now)
{
    typed(latest, CHANNEL_VOLTAGE, now->v, now->t_s);
    typed(latest, CHANNEL_CURRENT, now->a, now->t_s);
    typed(latest, CHANNEL_TEMPERATURE, now->degc, now->t_s);
    typed(latest, CHANNEL_AMBIENT, now->ambient_degc, now->t_s);
}

void latest_forget_typed(struct latest *latest)
{
    for (int c = 0; c < CHANNELS; c++)
        latest->typed[c] = (struct value){NAN, NAN};
}

static bool carries(const struct link *link, enum channel channel)
{
    for (int c = 0; c < link->channel_count; c++)
        if (link->channels[c].channel == channel)
            return true;
    return false;
}

size_t latest_pace(const struct latest *latest)
{
    static const enum channel order[] = {CHANNEL_CURRENT, CHANNEL_VOLTAGE};
    for (size_t k = 0; k < sizeof order / sizeof *order; k++)
        for (size_t i = 0; i < latest->links->count; i++)
            if (carries(&latest->links->items[i], order[k]))
                return i;
    return 0;
}

static double fresh(struct value value, double t_s, double fresh_s)
{
    return t_s - value.t_s <= fresh_s ? value.value : NAN;
}

static double of_channel(const struct latest *latest, enum channel channel, double t_s)
{
    for (size_t k = 0; k < latest->links->count; k++) {
        const struct link *link = &latest->links->items[k];
        for (int c = 0; c < link->channel_count; c++) {
            double value = fresh(latest->told[k].of[c], t_s, latest->told[k].fresh_s);
            if (link->channels[c].channel == channel && isfinite(value))
                return value;
        }
    }
    return fresh(latest->typed[channel], t_s, typed_fresh_s);
}

/* A channel of one cell: `cell 3 voltage`. */
static bool is_cell(const struct link_channel *channel)
{
    return channel->channel == CHANNELS && channel->quantity == QUANTITY_VOLTAGE &&
           strncasecmp(channel->name, "cell", 4) == 0;
}

static void cells_now(const struct latest *latest, double t_s, struct reading_now *now)
{
    now->cell_low_v = now->cell_high_v = NAN;
    for (size_t k = 0; k < latest->links->count; k++) {
        const struct link *link = &latest->links->items[k];
        for (int c = 0; c < link->channel_count; c++) {
            if (!is_cell(&link->channels[c]))
                continue;
            double v = fresh(latest->told[k].of[c], t_s, latest->told[k].fresh_s);
            now->cell_low_v = fmin(now->cell_low_v, v);
            now->cell_high_v = fmax(now->cell_high_v, v);
        }
    }
}

struct reading_now latest_now(const struct latest *latest, double t_s, double *ret_w)
{
    struct reading_now now = {.t_s = t_s,
                              .v = of_channel(latest, CHANNEL_VOLTAGE, t_s),
                              .a = of_channel(latest, CHANNEL_CURRENT, t_s),
                              .degc = of_channel(latest, CHANNEL_TEMPERATURE, t_s),
                              .ambient_degc = of_channel(latest, CHANNEL_AMBIENT, t_s)};
    double w = of_channel(latest, CHANNEL_POWER, t_s);
    *ret_w = isfinite(w) ? w : now.v * now.a;
    cells_now(latest, t_s, &now);
    return now;
}
