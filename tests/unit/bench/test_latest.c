#include "bench/latest.h"
#include "check.h"

static struct link_channel channel(const char *name, enum channel channel, enum quantity quantity, double factor)
{
    struct link_channel ret = {.channel = channel, .quantity = quantity, .unit = {quantity, factor, 0}};
    snprintf(ret.name, sizeof ret.name, "%s", name);
    return ret;
}

/* A voltmeter with cells every 0.5 s, and a shunt meter wired the other way round that speaks when it likes. */
static struct link items[2];
static struct links bench(void)
{
    items[0] = (struct link){.period_s = 0.5, .timeout_s = 1, .channel_count = 4};
    items[0].channels[0] = channel("voltage", CHANNEL_VOLTAGE, QUANTITY_VOLTAGE, 1e-3);
    items[0].channels[1] = channel("cell 1 voltage", CHANNELS, QUANTITY_VOLTAGE, 1);
    items[0].channels[2] = channel("Cell 2 voltage", CHANNELS, QUANTITY_VOLTAGE, 1);
    items[0].channels[3] = channel("lid temperature", CHANNELS, QUANTITY_TEMPERATURE, 1);
    items[1] = (struct link){.timeout_s = 10, .channel_count = 1};
    items[1].channels[0] = channel("current", CHANNEL_CURRENT, QUANTITY_CURRENT, -1);
    return (struct links){.items = items, .count = 2};
}

static void hear(struct latest *latest, size_t instrument, double t_s, double first, double second, double third)
{
    struct arrival arrival = {0};
    arrival.cells[0] = decimal_of(first, 3);
    arrival.cells[1] = decimal_of(second, 3);
    arrival.cells[2] = decimal_of(third, 3);
    latest_heard(latest, instrument, &arrival, t_s);
}

TEST(values_are_in_own_units_and_from_whoever_tells_them)
{
    struct links links = bench();
    struct latest *latest = latest_new(&links, 0);
    CHECK(latest_pace(latest) == 1);
    double w;
    struct reading_now now = latest_now(latest, 1, &w);
    CHECK(isnan(now.v) && isnan(now.a) && isnan(w) && isnan(now.cell_low_v));
    hear(latest, 0, 1, 12912, 3.214, 3.231);
    hear(latest, 1, 1.2, -24.8, NAN, NAN);
    now = latest_now(latest, 1.3, &w);
    CHECK_NEAR(now.v, 12.912, 1e-9);
    CHECK_NEAR(now.a, 24.8, 1e-9);
    CHECK_NEAR(w, 320.2176, 1e-6);
    CHECK_NEAR(now.cell_low_v, 3.214, 1e-9);
    CHECK_NEAR(now.cell_high_v, 3.231, 1e-9);
    CHECK(isnan(now.degc));
    latest_free(latest);
}

TEST(a_silent_instrument_has_no_value_and_the_other_goes_on)
{
    struct links links = bench();
    struct latest *latest = latest_new(&links, 0);
    double w;
    hear(latest, 0, 1, 12912, 3.2, 3.2);
    hear(latest, 1, 1, -24.8, NAN, NAN);
    struct reading_now now = latest_now(latest, 4, &w);
    CHECK(isnan(now.v) && isnan(w));
    CHECK_NEAR(now.a, 24.8, 1e-9);
    hear(latest, 0, 5, NAN, 3.2, NAN); /* heard, without its volts: not carried on */
    now = latest_now(latest, 5, &w);
    CHECK(isnan(now.v));
    latest_free(latest);
}

TEST(an_overload_is_no_old_value)
{
    struct links links = bench();
    struct latest *latest = latest_new(&links, 0);
    double w;
    hear(latest, 1, 1, -24.8, NAN, NAN);
    struct arrival arrival = {.cells = {{.kind = DECIMAL_OVERLOAD}}};
    latest_heard(latest, 1, &arrival, 1.1);
    CHECK(isnan(latest_now(latest, 1.2, &w).a));
    latest_free(latest);
}

TEST(typed_values_stand_where_no_instrument_tells)
{
    struct links links = bench();
    struct latest *latest = latest_new(&links, 0);
    double w;
    latest_typed(latest, &(struct reading_now){.t_s = 10, .v = 11.1, .a = NAN, .degc = 23, .ambient_degc = NAN});
    CHECK_NEAR(latest_now(latest, 300, &w).v, 11.1, 1e-9);
    CHECK_NEAR(latest_now(latest, 300, &w).degc, 23, 1e-9);
    CHECK(isnan(latest_now(latest, 700, &w).degc));
    hear(latest, 0, 300, 12000, NAN, NAN);
    CHECK_NEAR(latest_now(latest, 300, &w).v, 12, 1e-9);
    latest_free(latest);
}
