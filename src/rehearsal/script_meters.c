#include "rehearsal/script_meters.h"

#include "base/nearest.h"
#include "intake/accuracy_text.h"
#include "rehearsal/clause.h"

/* One key of a meter that is a number. */
struct number {
    const char *key;
    enum quantity quantity;
    double least, most;
    double *plain;         /* one of the two */
    struct spread *spread; /* gets the bound */
};

enum { METER_NUMBERS = 13 };

static void list_numbers(struct instrument_make *make, struct number ret_numbers[static METER_NUMBERS])
{
    const struct number numbers[METER_NUMBERS] = {
        {"voltage resolution", QUANTITY_VOLTAGE, 0, 1, &make->v.digit, NULL},
        {"current resolution", QUANTITY_CURRENT, 0, 10, &make->a.digit, NULL},
        {"temperature resolution", QUANTITY_TEMPERATURE, 0, 10, &make->degc.digit, NULL},
        {"charge tally resolution", QUANTITY_CHARGE, 0, 10, &make->tally_ah_digit, NULL},
        {"energy tally resolution", QUANTITY_ENERGY, 0, 100, &make->tally_wh_digit, NULL},
        {"voltage noise", QUANTITY_VOLTAGE, 0, 10, &make->v.noise, NULL},
        {"current noise", QUANTITY_CURRENT, 0, 100, &make->a.noise, NULL},
        {"temperature noise", QUANTITY_TEMPERATURE, 0, 20, &make->degc.noise, NULL},
        {"period", QUANTITY_TIME, 0.02, 600, &make->period_s, NULL},
        {"averaging", QUANTITY_TIME, 0, 60, &make->average_s, NULL},
        {"missing", QUANTITY_RATIO, 0, 0.9, &make->missing, NULL},
        {"clock", QUANTITY_RATIO, 0, 0.01, NULL, &make->clock},
        {"skew", QUANTITY_TIME, 0, 60, NULL, &make->amp_lag_s},
    };
    memcpy(ret_numbers, numbers, sizeof numbers);
}

static enum status read_number(const struct ini *ini, const struct ini_entry *entry,
                               const struct number *number, struct message *message)
{
    double value = NAN;
    const struct clause known[] = {{"", number->quantity, &value, number->least, number->most}, {0}};
    char form[80];
    const char *symbol = number->quantity == QUANTITY_RATIO ? "%" : quantity_symbol(number->quantity);
    snprintf(form, sizeof form, "%s = %.6g %s", number->key, fmax(number->least, number->most / 10), symbol);
    enum status status = clauses_read(ini, entry, known, form, message);
    if (status != STATUS_OK)
        return status;
    if (number->plain != NULL)
        *number->plain = value;
    else
        *number->spread = invented_bound(value);
    return STATUS_OK;
}

static enum status read_accuracy(const struct ini *ini, const struct ini_entry *entry, enum quantity quantity,
                                 struct meter_channel_make *channel, struct message *message)
{
    struct accuracy accuracy = {0};
    struct message fault;
    if (accuracy_read(span_of(entry->value), quantity, 0, &accuracy, &fault) != STATUS_OK) {
        ini_fault(ini, entry, (size_t)fault.column, message, "%s", fault.what);
        return status_remedy(message, "%s", fault.remedy);
    }
    channel->gain = invented_bound(accuracy.gain);
    channel->offset = invented_bound(accuracy.offset + accuracy.digits * channel->digit);
    return STATUS_OK;
}

static enum status read_dark(const struct ini *ini, const struct ini_entry *entry,
                             struct instrument_make *make, struct message *message)
{
    static const char *const known[] = {"tally stays", "tally starts again", NULL};
    int which = name_find(span_of(entry->value), known);
    if (which < 0) {
        ini_fault(ini, entry, 0, message, "`%s` is nothing that a tally does in the dark", entry->value);
        return status_remedy(message, "write `when dark = tally stays` or `when dark = tally starts again`");
    }
    make->tally_dark = which == 0 ? TALLY_FREEZES : TALLY_RESTARTS;
    return STATUS_OK;
}

/* Resolutions come before accuracies, which may be stated in digits. */
static enum status read_meter(const struct ini *ini, const char *section, struct instrument_make *make,
                              struct message *message)
{
    struct number numbers[METER_NUMBERS];
    list_numbers(make, numbers);
    const char *known[METER_NUMBERS + 5];
    for (size_t k = 0; k < METER_NUMBERS; k++)
        known[k] = numbers[k].key;
    known[METER_NUMBERS] = "voltage", known[METER_NUMBERS + 1] = "current",
    known[METER_NUMBERS + 2] = "temperature";
    known[METER_NUMBERS + 3] = "when dark", known[METER_NUMBERS + 4] = NULL;
    enum status status = ini_known_keys(ini, section, known, message);
    for (int pass = 0; pass < 2; pass++) {
        const struct ini_entry *entry = NULL;
        while (status == STATUS_OK && (entry = ini_next(ini, section, NULL, entry)) != NULL) {
            int key = name_find(span_of(entry->key), known);
            if ((key < METER_NUMBERS) != (pass == 0))
                continue;
            switch (key - METER_NUMBERS) {
            case 0: status = read_accuracy(ini, entry, QUANTITY_VOLTAGE, &make->v, message); break;
            case 1: status = read_accuracy(ini, entry, QUANTITY_CURRENT, &make->a, message); break;
            case 2: status = read_accuracy(ini, entry, QUANTITY_TEMPERATURE, &make->degc, message); break;
            case 3: status = read_dark(ini, entry, make, message); break;
            default: status = read_number(ini, entry, &numbers[key], message);
            }
        }
    }
    return status;
}

enum status script_read_meters(const struct ini *ini, struct script *script, struct message *message)
{
    script->meters[METER_BENCH] = invented_bench_meter();
    script->meters[METER_SHUNT] = invented_meter();
    script->meters[METER_PROBE] = invented_probe();
    enum status status = STATUS_OK;
    for (int k = 0; k < METERS && status == STATUS_OK; k++)
        status = read_meter(ini, script_meter_names[k], &script->meters[k], message);
    return status;
}
