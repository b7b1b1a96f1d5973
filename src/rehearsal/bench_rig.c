#include "rehearsal/bench_rig.h"

#include "base/decimal.h"

static double half(struct spread spread)
{
    return spread.u * sqrt(3); /* they are rectangular (invented_bound) */
}

/* `0.05 % + 0.004 V` */
static void add_bound(struct text *text, const char *name, double gain, double offset, const char *unit)
{
    text_addf(text, "%s = ", name);
    if (gain > 0)
        text_addf(text, "%.6g %%", gain * 100);
    if (offset > 0 || gain == 0)
        text_addf(text, "%s%.6g %s", gain > 0 ? " + " : "", offset, unit);
    text_add(text, "\n");
}

static void add_channel(struct text *text, const char *name, const struct meter_channel_make *make,
                        const char *unit)
{
    char resolution[48];
    add_bound(text, name, half(make->gain), half(make->offset), unit);
    snprintf(resolution, sizeof resolution, "%s resolution", name);
    if (make->digit > 0)
        add_bound(text, resolution, 0, make->digit, unit);
}

/* The largest ripple that the program's inverter makes. */
static double ripple_of(const struct script *script)
{
    double most = 0;
    for (size_t k = 0; k < script->count; k++)
        most = fmax(most, script->segments[k].ripple);
    return most;
}

/* How long an answer may take. This machine answers no faster because the bench runs faster: it is given a twentieth
 * of a second, so that a moment at which it does something else is not taken for a meter that is gone. */
static void add_timeout(double speed, struct text *text)
{
    text_addf(text, "timeout = %.6g s\n", fmax(2, 0.05 * speed));
}

static void add_bench_meter(const struct rehearsal *one, const struct bench_ports *ports, double speed,
                            struct text *text)
{
    const struct instrument_make *make = &one->script->meters[METER_BENCH];
    text_addf(text,
              "\n[%s]\n"
              "driver = scpi\n"
              "address = tcp 127.0.0.1:%d\n"
              "period = %.6g s\n"
              "query = FETCh?\n"
              "time from = field 1\n"
              "voltage from = field 2\n"
              "current from = field 3\n",
              script_meter_names[METER_BENCH], ports->scpi, make->period_s / 2);
    add_timeout(speed, text);
    add_channel(text, "voltage", &make->v, "V");
    add_channel(text, "current", &make->a, "A");
    text_addf(text,
              "clock = %.6g ppm\naveraging = %.6g s\nskew = %.6g s\nripple = %.6g %%\nsense leads = yes\n",
              half(make->clock) * 1e6, make->average_s, half(make->amp_lag_s), ripple_of(one->script) * 100);
}

/* A tally adds up the shunt's slope, and its zero for as long as the rehearsal lasts. */
static void add_tallies(const struct rehearsal *one, struct text *text)
{
    const struct instrument_make *make = &one->script->meters[METER_SHUNT];
    double hours = one->truth.intervals[one->truth.count].t_s / 3600;
    double offset_ah = (half(make->a.offset) + half(make->tally_offset_a)) * hours;
    double volts = one->make.cells * 3.4, ah = one->truth.discharge_ah;
    add_bound(text, "charge tally", half(make->a.gain) + half(make->clock), offset_ah + make->tally_ah_digit,
              "Ah");
    add_bound(text, "energy tally", half(make->a.gain) + half(make->v.gain) + half(make->clock),
              offset_ah * volts + half(make->v.offset) * ah + make->tally_wh_digit, "Wh");
    add_bound(text, "charge tally resolution", 0, make->tally_ah_digit, "Ah");
    add_bound(text, "energy tally resolution", 0, make->tally_wh_digit, "Wh");
    text_add(text, "tally = own\n");
}

static void add_shunt_meter(const struct rehearsal *one, const struct bench_ports *ports, double speed,
                            struct text *text)
{
    text_addf(text, "\n[%s]\n", script_meter_names[METER_SHUNT]);
    if (ports->mqtt_host != NULL)
        text_addf(text,
                  "driver = mqtt\naddress = tcp %s:%d\n"
                  "time from = topic %s/all field time\n"
                  "charge tally from = topic %s/all field charge_tally\n"
                  "energy tally from = topic %s/all field energy_tally\n",
                  ports->mqtt_host, ports->mqtt_port, ports->mqtt_topic, ports->mqtt_topic,
                  ports->mqtt_topic);
    else
        text_addf(text,
                  "driver = modbus\naddress = tcp 127.0.0.1:%d\nperiod = %.6g s\n"
                  "time from = input 0 u32 times 0.001\n"
                  "voltage of the shunt meter from = input 2 i32 times 0.001\n"
                  "current of the shunt meter from = input 4 i32 times 0.001\n"
                  "charge tally from = input 6 i32 times 0.001\n"
                  "energy tally from = input 8 i32 times 0.001\n",
                  ports->modbus, one->script->meters[METER_SHUNT].period_s / 2);
    add_timeout(speed, text);
    add_tallies(one, text);
}

static void add_probe(const struct rehearsal *one, const struct bench_ports *ports, double speed,
                      struct text *text)
{
    text_addf(text,
              "\n[%s]\n"
              "driver = lines\n"
              "address = tcp 127.0.0.1:%d\n"
              "separator = comma\n"
              "time from = field 1\n"
              "temperature from = field 2\n",
              script_meter_names[METER_PROBE], ports->lines);
    add_timeout(fmax(speed, 200), text); /* it speaks when it likes: ten seconds at the least */
    add_channel(text, "temperature", &one->script->meters[METER_PROBE].degc, "degC");
}

void bench_rig(const struct rehearsal *rehearsal, const struct bench_ports *ports, double speed,
               struct text *text)
{
    text_addf(text,
              "# INVENTED. Written by rundown rehearse: the bench of a rehearsal, while it is served.\n"
              "name = Bench of a rehearsal, seed %u\n"
              "rehearsal rate = %.6g\n",
              (unsigned)rehearsal->script->seed, speed);
    add_bench_meter(rehearsal, ports, speed, text);
    add_shunt_meter(rehearsal, ports, speed, text);
    add_probe(rehearsal, ports, speed, text);
}

void bench_label(const struct rehearsal *rehearsal, struct text *text)
{
    text_addf(text,
              "# INVENTED. Written by rundown rehearse: what the rehearsed pack says of itself.\n"
              "[sample]\n"
              "name = %s\n"
              "chemistry = LiFePO4\n"
              "invented = yes\n"
              "\n[claims]\n%s",
              rehearsal->script->name, text_string(&rehearsal->script->claims));
    if (rehearsal->script->claims.length == 0) /* a label claims something */
        text_addf(text, "nominal voltage = %.6g V\ncapacity = %.6g Ah\ncells = %d\n", rehearsal->make.cells * 3.2,
                  rehearsal->script->make.capacity_ah[1 % rehearsal->make.cells], rehearsal->make.cells);
}

/* With the digits that the meter has; all of them where it has no last one. */
static void add_shown(struct text *text, double value, double digit, const char *end)
{
    char digits[DECIMAL_TEXT];
    decimal_print(decimal_of(value, decimals_of_digit(digit)), digits);
    text_addf(text, "%s%s", digits, end);
}

void bench_log(const struct rehearsal *rehearsal, struct text *text)
{
    const struct instrument_make *make = &rehearsal->script->meters[METER_BENCH];
    const struct shown *shown = &rehearsal->shown[METER_BENCH];
    text_addf(text,
              "# INVENTED DATA. Written by rundown rehearse: %s, what the bench meter shows.\n"
              "# Current is positive when it leaves the sample.\n"
              "Time(s),Voltage(V),Current(A)\n",
              rehearsal->script->name);
    for (size_t k = 0; k < shown->count; k++) {
        add_shown(text, shown->t_s[k], 0.001, ",");
        add_shown(text, shown->v[k], make->v.digit, ",");
        add_shown(text, shown->a[k], make->a.digit, "\n");
    }
}
