#include "battery/sight_meter.h"

static const char *const calibrate = "a meter of smaller gain error, or a calibration against one";
static const char *const state_digit = "the meter's last digit, in the rig file, where it is finer than what was typed";
static const char *const look_at_zero = "the meter's zero, read with nothing connected, as its bound in the rig file";

/* What would narrow an offset: the digit where it was taken from what was typed and is most of it, else the zero. */
static const char *offset_remedy(const struct accuracy *own, double typed_digit)
{
    return own->resolution > 0 || own->digits * typed_digit <= own->offset ? look_at_zero : state_digit;
}

void sight_part(struct measure *measure, enum cause cause, enum shape shape, double u, const char *what,
                const char *remedy)
{
    measure_part(measure, (struct part){cause, shape, u, INFINITY, 0, what, remedy});
}

void sight_bound(struct measure *measure, enum cause cause, double half, uint32_t source, const char *what,
                 const char *remedy)
{
    measure_part(measure, (struct part){cause, SHAPE_RECTANGULAR, half / sqrt(3), INFINITY, source, what, remedy});
}

bool sight_from_watts(const struct course *course)
{
    for (size_t k = 0; k < course->node_count; k++)
        if (!isnan(course_node(course, k)->of[CHANNEL_CURRENT].lo))
            return false;
    return true;
}

double sight_digit(const struct course *course, enum channel channel)
{
    double digit = INFINITY;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct seen *seen = &course_node(course, k)->of[channel];
        if (is_seen(seen) && seen->digit > 0)
            digit = fmin(digit, seen->digit);
    }
    return isfinite(digit) ? digit : 0;
}

void sight_add_current(const struct course *course, double value, double per_unit, struct measure *measure)
{
    const struct rig *rig = course->rig;
    bool watts = sight_from_watts(course);
    enum channel channel = watts ? CHANNEL_POWER : CHANNEL_CURRENT;
    const struct accuracy *own = &rig->of[channel];
    sight_bound(measure, watts ? CAUSE_GAIN_OTHER : CAUSE_GAIN_CURRENT, value * own->gain,
                rig_source(rig, channel, ERROR_GAIN),
                watts ? "gain of the power channel" : "gain of the current channel", calibrate);
    sight_bound(measure, CAUSE_GAIN_CURRENT, value * own->shunt_gain, rig_source(rig, channel, ERROR_SHUNT),
                "the shunt or current sensor", "a shunt of a better class");
    double digit = sight_digit(course, channel);
    sight_bound(measure, watts ? CAUSE_OFFSET_OTHER : CAUSE_OFFSET_CURRENT, per_unit * accuracy_offset(own, digit),
                rig_source(rig, channel, ERROR_OFFSET),
                watts ? "offset of the power channel" : "offset of the current channel", offset_remedy(own, digit));
}

void sight_add_voltage(const struct course *course, double value, double per_volt, struct measure *measure)
{
    const struct rig *rig = course->rig;
    const struct accuracy *own = &rig->of[CHANNEL_VOLTAGE];
    sight_bound(measure, CAUSE_GAIN_VOLTAGE, value * own->gain, rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN),
                "gain of the voltage channel", calibrate);
    double digit = sight_digit(course, CHANNEL_VOLTAGE);
    sight_bound(measure, CAUSE_OFFSET_VOLTAGE, per_volt * accuracy_offset(own, digit),
                rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel",
                offset_remedy(own, digit));
}

void sight_add_clock(const struct course *course, double value, struct measure *measure)
{
    sight_bound(measure, CAUSE_CLOCK, value * course->rig->clock,
                rig_source(course->rig, CHANNEL_VOLTAGE, ERROR_CLOCK), "the clock", "a better clock");
}

void sight_add_leads(const struct course *course, double square_a2h, struct measure *wh)
{
    const struct rig *rig = course->rig;
    if (rig->sense_leads)
        return;
    wh->value += rig->lead_ohm * square_a2h;
    sight_bound(wh, CAUSE_LEADS, rig->lead_halfwidth_ohm * square_a2h, rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS),
                "leads between meter and terminals", "sense leads to the terminals");
}
