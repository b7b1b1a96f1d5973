#include "claims/loads.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "intake/ini.h"

void loads_free(struct loads *loads)
{
    free(loads->loads);
    *loads = (struct loads){0};
}

static const double efficiency_usual = 0.9; /* sizing practice, no source */

/* Watts of the loads that are on, behind the inverter or not. */
static double watts(const struct loads *loads, unsigned on, bool behind, double nominal_v)
{
    double sum = 0;
    for (size_t k = 0; k < loads->count; k++) {
        const struct load *load = &loads->loads[k];
        if ((on & 1u << k) != 0 && load->behind_inverter == behind)
            sum += isnan(load->power_w) ? load->current_a * nominal_v : load->power_w;
    }
    return sum;
}

bool loads_inverted(const struct loads *loads, unsigned on)
{
    for (size_t k = 0; k < loads->count; k++)
        if ((on & 1u << k) != 0 && loads->loads[k].behind_inverter)
            return true;
    return false;
}

double loads_draw_w(const struct loads *loads, unsigned on, double nominal_v)
{
    double direct = watts(loads, on, false, nominal_v);
    if (!loads_inverted(loads, on))
        return direct;
    double efficiency = isnan(loads->efficiency) ? efficiency_usual : loads->efficiency;
    double idle_w = isnan(loads->idle_w) ? 0 : loads->idle_w;
    return direct + watts(loads, on, true, nominal_v) / efficiency + idle_w;
}

bool loads_carried(const struct loads *loads, unsigned on)
{
    return !loads_inverted(loads, on) || watts(loads, on, true, NAN) <= loads->inverter_w;
}

struct field {
    const char *key;
    enum quantity quantity;
    double *into, most; /* above zero, up to `most` */
};

static enum status read_field(const struct ini *ini, const struct ini_entry *entry, const struct field *fields,
                              struct message *message)
{
    const char *known[8];
    size_t n = 0;
    for (; fields[n].key != NULL && fields[n].into != NULL; n++) {
        known[n] = fields[n].key;
        if (!name_alike(span_of(entry->key), fields[n].key))
            continue;
        double value;
        enum status status = ini_quantity(ini, entry, fields[n].quantity, &value, NULL, message);
        if (status != STATUS_OK)
            return status;
        if (!isnan(*fields[n].into)) {
            ini_fault(ini, entry, 0, message, "`%s` is stated twice for [%s]", entry->key, entry->section);
            return status_remedy(message, "keep the one that holds");
        }
        if (!(value > 0) || value > fields[n].most) {
            ini_fault(ini, entry, 0, message, "`%s = %s` cannot be", entry->key, entry->value);
            return status_remedy(message, fields[n].quantity == QUANTITY_RATIO ? "give a percentage above 0 and up to 100"
                                                                               : "give a number above zero");
        }
        *fields[n].into = value;
        return STATUS_OK;
    }
    known[n] = NULL;
    const char *near = name_nearest(span_of(entry->key), known);
    char list[200];
    name_list(known, list, sizeof list);
    ini_fault(ini, entry, 0, message, "[%s] has no '%s'", entry->section, entry->key);
    return near != NULL ? status_remedy(message, "did you mean '%s'?", near) : status_remedy(message, "use %s", list);
}

static enum status read_inverter(const struct ini *ini, const struct ini_entry *entry, struct loads *loads,
                                 struct message *message)
{
    const struct field fields[] = {
        {"power", QUANTITY_POWER, &loads->inverter_w, INFINITY},
        {"idle", QUANTITY_POWER, &loads->idle_w, INFINITY},
        {"efficiency", QUANTITY_RATIO, &loads->efficiency, 1},
        {"low-voltage cut-off", QUANTITY_VOLTAGE, &loads->low_v, INFINITY},
        {NULL, QUANTITY_NONE, NULL, 0},
    };
    loads->inverter = true;
    return read_field(ini, entry, fields, message);
}

static enum status read_load(const struct ini *ini, const struct ini_entry *entry, struct load *load,
                             struct message *message)
{
    if (name_alike(span_of(entry->key), "behind inverter"))
        return ini_yes(ini, entry, &load->behind_inverter, message);
    const struct field fields[] = {
        {"power", QUANTITY_POWER, &load->power_w, INFINITY},
        {"current", QUANTITY_CURRENT, &load->current_a, INFINITY},
        {"fills up after", QUANTITY_ENERGY, &load->fills_wh, INFINITY},
        {"behind inverter", QUANTITY_NONE, NULL, 0},
        {NULL, QUANTITY_NONE, NULL, 0},
    };
    return read_field(ini, entry, fields, message);
}

static struct load *load_of(struct loads *loads, size_t *capacity, const struct ini_entry *entry)
{
    for (size_t k = 0; k < loads->count; k++)
        if (name_alike(span_of(entry->section), loads->loads[k].name))
            return &loads->loads[k];
    loads->loads = memory_grow(loads->loads, loads->count, capacity);
    struct load *load = &loads->loads[loads->count++];
    *load = (struct load){.line = entry->line, .power_w = NAN, .current_a = NAN, .fills_wh = NAN};
    span_copy(span_of(entry->section), load->name, sizeof load->name);
    return load;
}

static enum status fault(const struct loads *loads, const char *section, long line, const char *what, const char *remedy,
                         struct message *message)
{
    status_fail(message, STATUS_MALFORMED, "[%s] %s", section, what);
    status_at(message, loads->path, line, 0);
    return status_remedy(message, "%s", remedy);
}

static enum status check_load(const struct loads *loads, const struct load *load, struct message *message)
{
    bool power = !isnan(load->power_w), current = !isnan(load->current_a);
    const char *what = power && current                        ? "has a power and a current"
                       : !power && !current                    ? "has neither power nor current"
                       : load->behind_inverter && !loads->inverter ? "stands behind an inverter that the file does not have"
                       : load->behind_inverter && !power           ? "stands behind the inverter, where amps are the mains'"
                                                                   : NULL;
    if (what == NULL)
        return STATUS_OK;
    bool alone = load->behind_inverter && !loads->inverter && power != current;
    return fault(loads, load->name, load->line, what,
                 alone ? "add a section [inverter] with `power = 2000 W`" : "state `power = 300 W`, or else `current = 20 A`",
                 message);
}

static enum status check_whole(const struct loads *loads, struct message *message)
{
    if (loads->count == 0) {
        status_fail(message, STATUS_MALFORMED, "the file holds no load");
        status_at(message, loads->path, 0, 0);
        return status_remedy(message, "add a section such as [kettle] with `power = 1800 W`");
    }
    if (loads->count > LOADS_MOST)
        return fault(loads, loads->loads[LOADS_MOST].name, loads->loads[LOADS_MOST].line, "is one load too many for one plan",
                     "keep the twelve that matter, or make one of several that run together", message);
    if (loads->inverter && isnan(loads->inverter_w))
        return fault(loads, "inverter", 0, "does not say what it can carry", "add `power = 2000 W` to it", message);
    enum status status = STATUS_OK;
    for (size_t k = 0; k < loads->count && status == STATUS_OK; k++)
        status = check_load(loads, &loads->loads[k], message);
    return status;
}

static enum status read_entries(const struct ini *ini, struct loads *loads, struct message *message)
{
    size_t capacity = 0;
    enum status status = STATUS_OK;
    for (size_t k = 0; k < ini->count && status == STATUS_OK; k++) {
        const struct ini_entry *entry = &ini->entries[k];
        if (entry->section[0] == '\0') {
            ini_fault(ini, entry, 0, message, "`%s` belongs to no load", entry->key);
            return status_remedy(message, "write the load's name above it, as in `[kettle]`");
        }
        if (name_alike(span_of(entry->section), "inverter"))
            status = read_inverter(ini, entry, loads, message);
        else
            status = read_load(ini, entry, load_of(loads, &capacity, entry), message);
    }
    return status == STATUS_OK ? check_whole(loads, message) : status;
}

enum status loads_read_text(const char *path, struct span text, struct loads *ret_loads, struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct loads loads = {.inverter_w = NAN, .idle_w = NAN, .efficiency = NAN, .low_v = NAN};
    span_copy(span_of(path), loads.path, sizeof loads.path);
    status = read_entries(&ini, &loads, message);
    ini_free(&ini);
    if (status != STATUS_OK)
        loads_free(&loads);
    else
        *ret_loads = loads;
    return status;
}

enum status loads_read(const char *path, struct loads *ret_loads, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = loads_read_text(path, (struct span){text_string(&text), text.length}, ret_loads, message);
    text_free(&text);
    return status;
}
