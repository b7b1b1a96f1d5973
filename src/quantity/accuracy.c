#include "quantity/accuracy.h"

double accuracy_digit(const struct accuracy *accuracy, double seen)
{
    double step = accuracy->resolution > 0 ? accuracy->resolution : seen;
    return isfinite(step) ? step : 0;
}

double accuracy_offset(const struct accuracy *accuracy, double resolution)
{
    return accuracy->offset + accuracy->digits * accuracy_digit(accuracy, resolution);
}

double accuracy_bound(const struct accuracy *accuracy, double reading, double resolution)
{
    return (accuracy->gain + accuracy->shunt_gain) * fabs(reading) + accuracy_offset(accuracy, resolution);
}

/* Wide enough for a hand-held meter or a cheap shunt monitor. Common practice, no source. */
struct rig rig_default(void)
{
    struct rig rig = {
        .name = "no rig stated: wide defaults",
        .clock = 100e-6,
        .skew_s = NAN,
        .lead_halfwidth_ohm = 0.0005,
        .ripple = NAN,
        .tally_shares_meter = true,
        .probe_tau_s = NAN,
        .identity = 1,
    };
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.01, .digits = 2, .as_printed = "default 1 % + 2 digits"};
    rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.02, .digits = 2, .as_printed = "default 2 % + 2 digits"};
    rig.of[CHANNEL_POWER] = (struct accuracy){.gain = 0.03, .digits = 2, .as_printed = "default 3 % + 2 digits"};
    rig.of[CHANNEL_TEMPERATURE] = (struct accuracy){.offset = 2, .as_printed = "default 2 °C"};
    rig.of[CHANNEL_AMBIENT] = (struct accuracy){.offset = 2, .as_printed = "default 2 °C"};
    rig.of[CHANNEL_CHARGE_TALLY] = (struct accuracy){.gain = 0.02, .digits = 2, .as_printed = "default 2 % + 2 digits"};
    rig.of[CHANNEL_ENERGY_TALLY] = (struct accuracy){.gain = 0.03, .digits = 2, .as_printed = "default 3 % + 2 digits"};
    return rig;
}

uint32_t rig_source(const struct rig *rig, enum channel channel, enum error_kind kind)
{
    return rig->identity * 1024u + (uint32_t)kind * 32u + (uint32_t)channel + 1u;
}
