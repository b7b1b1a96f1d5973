#include "rehearsal/script_program.h"

#include "base/nearest.h"
#include "rehearsal/clause.h"

/* A charger that is refused for its temperature is taken off after so long: common practice, no source. */
static const double patience_s = 1800;
/* How long volts must lie below the load's own limit: invented. */
static const double give_up_s = 1;
/* Ends by itself, so it needs no bound; a guard for amounts typed with a wrong unit. */
static const double longest_s = 7 * 86400.0;

enum { CHARGER_TAIL_PART = 20 }; /* the tail when none is stated: a twentieth of the amps, common practice */

static enum status fault(const struct ini *ini, const struct ini_entry *entry, struct message *message,
                         const char *what, const char *form)
{
    ini_fault(ini, entry, 0, message, "%s", what);
    return status_remedy(message, "write it like `%s`", form);
}

static enum status read_rest(const struct ini *ini, const struct ini_entry *entry,
                             struct load_segment *segment, struct message *message)
{
    double for_s = NAN;
    const struct clause known[] = {
        {"for", QUANTITY_TIME, &for_s, 0.1, longest_s}, {"", QUANTITY_TIME, &for_s, 0.1, longest_s}, {0}};
    enum status status = clauses_read(ini, entry, known, "rest = 10 min", message);
    segment->kind = SEGMENT_REST;
    segment->duration_s = for_s;
    return status;
}

static enum status read_load(const struct ini *ini, const struct ini_entry *entry,
                             struct load_segment *segment, struct message *message)
{
    static const char form[] = "discharge = 300 W, ripple 20 %, for 2 h` or `discharge = 20 A, until cut-off";
    double w = NAN, a = NAN, ohm = NAN, ripple = NAN, idle_w = NAN, for_s = NAN, cut_off = NAN, until_v = NAN;
    const struct clause known[] = {
        {"", QUANTITY_POWER, &w, 0.01, 1e6},
        {"", QUANTITY_CURRENT, &a, 1e-3, 1e5},
        {"", QUANTITY_RESISTANCE, &ohm, 1e-4, 1e6},
        {"ripple", QUANTITY_RATIO, &ripple, 0, 1},
        {"idle", QUANTITY_POWER, &idle_w, 0, 1e4},
        {"for", QUANTITY_TIME, &for_s, 0.1, longest_s},
        {"until cut-off", QUANTITY_NONE, &cut_off, 0, 1},
        {"until", QUANTITY_VOLTAGE, &until_v, 0.1, 100},
        {0},
    };
    enum status status = clauses_read(ini, entry, known, form, message);
    if (status != STATUS_OK)
        return status;
    if (!isnan(w) + !isnan(a) + !isnan(ohm) != 1)
        return fault(ini, entry, message, "a load is so many watts, or amps, or ohms: one of them", form);
    if (isnan(for_s) == (isnan(cut_off) && isnan(until_v)))
        return fault(ini, entry, message, "a load lasts `for` a time or `until` something", form);
    if (isnan(w) && !isnan(idle_w))
        return fault(ini, entry, message, "an idle draw belongs to an inverter, whose load is in watts",
                     form);
    *segment = (struct load_segment){
        .kind = !isnan(w)   ? SEGMENT_POWER
                : !isnan(a) ? SEGMENT_CURRENT
                            : SEGMENT_RESISTANCE,
        .amount = !isnan(w)   ? w
                  : !isnan(a) ? a
                              : ohm,
        .duration_s = isnan(for_s) ? INFINITY : for_s,
        .idle_w = isnan(idle_w) ? 0 : idle_w,
        .ripple = isnan(ripple) ? 0 : ripple,
        .give_up_v = isnan(until_v) ? 0 : until_v,
        .give_up_s = give_up_s,
    };
    return STATUS_OK;
}

static enum status read_charge(const struct ini *ini, const struct ini_entry *entry,
                               struct load_segment *segment, struct message *message)
{
    static const char form[] =
        "charge = 20 A, to 14.4 V, tail 2 A, until full` or `charge = 20 A, to 14.4 V, for 1 h";
    double a = NAN, to_v = NAN, tail_a = NAN, for_s = NAN, full = NAN;
    const struct clause known[] = {
        {"", QUANTITY_CURRENT, &a, 1e-3, 1e5},       {"to", QUANTITY_VOLTAGE, &to_v, 1, 100},
        {"tail", QUANTITY_CURRENT, &tail_a, 0, 1e5}, {"for", QUANTITY_TIME, &for_s, 0.1, longest_s},
        {"until full", QUANTITY_NONE, &full, 0, 1},  {0},
    };
    enum status status = clauses_read(ini, entry, known, form, message);
    if (status != STATUS_OK)
        return status;
    if (isnan(a) || isnan(to_v))
        return fault(ini, entry, message, "a charge has its amps and the volts it goes to", form);
    if (isnan(for_s) == isnan(full))
        return fault(ini, entry, message, "a charge lasts `for` a time or `until full`", form);
    *segment = (struct load_segment){
        .kind = SEGMENT_CHARGE,
        .amount = a,
        .duration_s = isnan(for_s) ? INFINITY : for_s,
        .charge_v = to_v,
        .tail_a = !isnan(tail_a) ? tail_a : a / CHARGER_TAIL_PART,
        .refused_s = patience_s,
    };
    return STATUS_OK;
}

/* What touches the board's sensor from here on. */
struct touch {
    bool touches;
    double degc;
};

static enum status read_sensor(const struct ini *ini, const struct ini_entry *entry, struct touch *touch,
                               struct message *message)
{
    double degc = NAN, left = NAN;
    const struct clause known[] = {
        {"", QUANTITY_TEMPERATURE, &degc, -60, 150}, {"left alone", QUANTITY_NONE, &left, 0, 1}, {0}};
    enum status status =
        clauses_read(ini, entry, known, "sensor = -10 degC` or `sensor = left alone", message);
    if (status == STATUS_OK)
        *touch = (struct touch){!isnan(degc), degc};
    return status;
}

static enum status read_entry(const struct ini *ini, const struct ini_entry *entry, struct script *script,
                              struct touch *touch, struct message *message)
{
    if (name_alike(span_of(entry->key), "sensor"))
        return read_sensor(ini, entry, touch, message);
    if (script->count == TRUTH_MOST_SEGMENTS) {
        ini_fault(ini, entry, 0, message, "a program has at most %d parts", TRUTH_MOST_SEGMENTS);
        return status_remedy(message, "rehearse it in two");
    }
    struct load_segment segment = {0};
    bool burst = name_alike(span_of(entry->key), "burst");
    enum status status = name_alike(span_of(entry->key), "rest") ? read_rest(ini, entry, &segment, message)
                         : name_alike(span_of(entry->key), "charge")
                             ? read_charge(ini, entry, &segment, message)
                             : read_load(ini, entry, &segment, message);
    if (status != STATUS_OK)
        return status;
    if (burst && isinf(segment.duration_s))
        return fault(ini, entry, message, "a burst lasts for a stated time", "burst = 1100 W, for 4 min");
    segment.touches = touch->touches;
    segment.touch_degc = touch->degc;
    script->is_burst[script->count] = burst;
    script->segments[script->count++] = segment;
    return STATUS_OK;
}

enum status script_read_program(const struct ini *ini, struct script *script, struct message *message)
{
    static const char *const known[] = {"rest", "discharge", "burst", "charge", "sensor", NULL};
    struct touch touch = {false, NAN};
    const struct ini_entry *entry = NULL;
    enum status status = ini_known_keys(ini, "program", known, message);
    while (status == STATUS_OK && (entry = ini_next(ini, "program", NULL, entry)) != NULL)
        status = read_entry(ini, entry, script, &touch, message);
    if (status != STATUS_OK || script->count > 0)
        return status;
    status_fail(message, STATUS_MALFORMED, "the script does nothing");
    status_at(message, ini->path, 0, 0);
    return status_remedy(message,
                         "add a section [program] with lines such as `discharge = 300 W, until cut-off`");
}
