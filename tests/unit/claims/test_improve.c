#include "check.h"

#include "claims/improve.h"

static const char amounts[] = "[claims]\nnominal voltage = 12.8 V\ncapacity = 105 Ah\nenergy = 1344 Wh\n";

static struct label label_of(const char *text)
{
    struct label label = label_empty();
    struct notices notices = {0};
    struct message message = {0};
    CHECK(label_read_text("x.label", span_of(text), &label, &notices, &message) == STATUS_OK);
    notices_free(&notices);
    return label;
}

/* A rig without errors but for those that are given. */
static struct rig rig_of(double current_gain, double shunt_gain, double voltage_gain)
{
    struct rig rig = rig_default();
    for (int c = 0; c < CHANNELS; c++)
        rig.of[c] = (struct accuracy){.resolution = 0.01, .stated = true};
    rig.of[CHANNEL_CURRENT].gain = current_gain;
    rig.of[CHANNEL_CURRENT].shunt_gain = shunt_gain;
    rig.of[CHANNEL_VOLTAGE].gain = voltage_gain;
    rig.clock = 0;
    rig.ripple = 0;
    return rig;
}

static const struct improvement *find(const struct improvements *all, enum improvable what)
{
    for (size_t k = 0; k < all->count; k++)
        if (all->items[k].what == what)
            return &all->items[k];
    return NULL;
}

/* 95 % of a sum of two rectangles of half-widths a and b, |a - b| small enough that its corner lies within: the tails
 * are triangles, (a + b - t)² / (4 a b) = 0.05 (by hand). */
static double of_two(double a, double b)
{
    return a + b - sqrt(4 * a * b * 0.05);
}

TEST(what_a_better_meter_brings_by_hand)
{
    struct label label = label_of("[claims]\ncapacity = 105 Ah\n");
    struct rig rig = rig_of(0.012, 0.008, 0.02);
    struct plan now = plan_make(&label, &rig, NULL);
    struct improvements all;
    improve(&label, &rig, NULL, &now, &all);
    double whole = of_two(0.012, 0.008);
    CHECK_NEAR(now.prospects[0].half_width, whole * 105, 1e-3);
    CHECK(all.count == 2); /* volts, clock and ripple bear on no charge, or have no error */
    const struct improvement *meter = find(&all, IMPROVE_CURRENT), *shunt = find(&all, IMPROVE_SHUNT);
    CHECK(meter != NULL && shunt != NULL && meter == &all.items[0]);
    if (meter != NULL && shunt != NULL) {
        CHECK_NEAR(meter->halved_brings, 1 - of_two(0.006, 0.008) / whole, 1e-4);
        CHECK_NEAR(meter->ideal_brings, 1 - 0.95 * 0.008 / whole, 1e-4);
        CHECK_NEAR(shunt->halved_brings, 1 - of_two(0.012, 0.004) / whole, 1e-4);
        CHECK_NEAR(shunt->ideal_brings, 1 - 0.95 * 0.012 / whole, 1e-4);
        CHECK_NEAR(meter->ideal.prospects[0].half_width, 0.95 * 0.008 * 105, 1e-3);
    }
    improvements_free(&all);
    plan_free(&now);
    label_free(&label);
}

/* Volts count for the energy alone: the mean over charge and energy takes half of what they bring there. */
TEST(the_mean_is_over_the_claims)
{
    struct label label = label_of(amounts);
    struct rig rig = rig_of(0.004, 0, 0.011);
    struct plan now = plan_make(&label, &rig, NULL);
    struct improvements all;
    improve(&label, &rig, NULL, &now, &all);
    CHECK(all.count == 2);
    double whole = of_two(0.004, 0.011);
    const struct improvement *volts = find(&all, IMPROVE_VOLTAGE), *amps = find(&all, IMPROVE_CURRENT);
    CHECK(volts != NULL && amps != NULL);
    if (volts != NULL && amps != NULL) { /* claims: mean volts, charge, energy */
        CHECK_NEAR(volts->halved_brings, (0.5 + 0 + 1 - of_two(0.004, 0.0055) / whole) / 3, 1e-4);
        CHECK_NEAR(amps->halved_brings, (0 + 0.5 + 1 - of_two(0.002, 0.011) / whole) / 3, 1e-4);
        CHECK(volts->stated && amps->stated && volts == &all.items[volts->halved_brings < amps->halved_brings]);
    }
    improvements_free(&all);
    plan_free(&now);
    label_free(&label);
}

TEST(a_wide_default_is_named_and_ripple_is_stated_or_not)
{
    struct label label = label_of(amounts);
    struct rig rig = rig_default();
    struct plan now = plan_make(&label, &rig, NULL);
    struct improvements all;
    improve(&label, &rig, NULL, &now, &all);
    const struct improvement *amps = find(&all, IMPROVE_CURRENT), *ripple = find(&all, IMPROVE_RIPPLE);
    CHECK(amps != NULL && !amps->stated && amps->settles > 0);
    CHECK(ripple != NULL && !ripple->stated && isnan(ripple->halved_brings) && ripple->ideal_brings > 0);
    CHECK(find(&all, IMPROVE_SHUNT) == NULL);
    double before = INFINITY; /* most first */
    for (size_t k = 0; k < all.count; k++) {
        double brings = isnan(all.items[k].halved_brings) ? all.items[k].ideal_brings : all.items[k].halved_brings;
        CHECK(brings <= before);
        before = brings;
    }
    improvements_free(&all);
    plan_free(&now);
    label_free(&label);
}
