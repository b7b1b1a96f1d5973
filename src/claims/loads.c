#include "claims/loads.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "intake/ini.h"

void loads_free(struct loads *loads)
{
    free(loads->loads);
    *loads = (struct loads){0};
}

double loads_draw_w(const struct loads *loads, unsigned on, double nominal_v)
{
    double direct = 0, behind = 0;
    bool inverter_on = false;
    for (size_t k = 0; k < loads->count && k < 16; k++) {
        if ((on & 1u << k) == 0)
            continue;
        const struct load *load = &loads->loads[k];
        double watts = isnan(load->power_w) ? load->current_a * nominal_v : load->power_w;
        inverter_on |= load->behind_inverter;
        *(load->behind_inverter ? &behind : &direct) += watts;
    }
    if (!inverter_on)
        return direct;
    double efficiency = loads->efficiency > 0 ? loads->efficiency : 0.9; /* check-value: sizing practice, 90 % */
    return direct + behind / efficiency + (loads->idle_w > 0 ? loads->idle_w : 0);
}

bool loads_carried(const struct loads *loads, unsigned on)
{
    double behind = 0;
    for (size_t k = 0; k < loads->count && k < 16; k++)
        if ((on & 1u << k) != 0 && loads->loads[k].behind_inverter)
            behind += loads->loads[k].power_w;
    return !(behind > loads->inverter_w);
}

struct field {
    const char *key;
    enum quantity quantity;
    double *into;
};

static enum status read_field(const struct ini *ini, const struct ini_entry *entry, const struct field *fields,
                              struct message *message)
{
    const char *known[12];
    size_t n = 0;
    for (; n < 10 && fields[n].key != NULL; n++) {
        known[n] = fields[n].key;
        if (name_alike(span_of(entry->key), fields[n].key))
            return ini_quantity(ini, entry, fields[n].quantity, fields[n].into, NULL, message);
    }
    known[n] = NULL;
    ini_fault(ini, entry, 0, message, "a load has no '%s'", entry->key);
    char list[200];
    name_list(known, list, sizeof list);
    return status_remedy(message, "use %s", list);
}

static enum status read_inverter(const struct ini *ini, const struct ini_entry *entry, struct loads *loads,
                                 struct message *message)
{
    const struct field fields[] = {
        {"power", QUANTITY_POWER, &loads->inverter_w},
        {"idle", QUANTITY_POWER, &loads->idle_w},
        {"efficiency", QUANTITY_RATIO, &loads->efficiency},
        {"low-voltage cut-off", QUANTITY_VOLTAGE, &loads->low_v},
        {NULL, QUANTITY_NONE, NULL},
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
        {"power", QUANTITY_POWER, &load->power_w},
        {"current", QUANTITY_CURRENT, &load->current_a},
        {"fills up after", QUANTITY_ENERGY, &load->fills_wh},
        {NULL, QUANTITY_NONE, NULL},
    };
    return read_field(ini, entry, fields, message);
}

static struct load *load_of(struct loads *loads, size_t *capacity, const char *name)
{
    for (size_t k = 0; k < loads->count; k++)
        if (strcmp(loads->loads[k].name, name) == 0)
            return &loads->loads[k];
    loads->loads = memory_grow(loads->loads, loads->count, capacity);
    struct load *load = &loads->loads[loads->count++];
    *load = (struct load){.power_w = NAN, .current_a = NAN, .fills_wh = NAN};
    span_copy(span_of(name), load->name, sizeof load->name);
    return load;
}

static enum status check_whole(const struct loads *loads, struct message *message)
{
    for (size_t k = 0; k < loads->count; k++) {
        if (!isnan(loads->loads[k].power_w) || !isnan(loads->loads[k].current_a))
            continue;
        status_fail(message, STATUS_MALFORMED, "the load '%s' has neither power nor current", loads->loads[k].name);
        status_at(message, loads->path, 0, 0);
        return status_remedy(message, "add `power = 300 W` or `current = 20 A`");
    }
    if (loads->count > 0)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "the file holds no load");
    status_at(message, loads->path, 0, 0);
    return status_remedy(message, "add a section such as [kettle] with `power = 1800 W`");
}

enum status loads_read(const char *path, struct loads *ret_loads, struct message *message)
{
    struct ini ini;
    enum status status = ini_read(path, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct loads loads = {.inverter_w = NAN, .idle_w = NAN, .efficiency = NAN, .low_v = NAN};
    snprintf(loads.path, sizeof loads.path, "%s", path);
    size_t capacity = 0;
    for (size_t k = 0; k < ini.count && status == STATUS_OK; k++) {
        const struct ini_entry *entry = &ini.entries[k];
        if (name_alike(span_of(entry->section), "inverter"))
            status = read_inverter(&ini, entry, &loads, message);
        else
            status = read_load(&ini, entry, load_of(&loads, &capacity, entry->section), message);
    }
    if (status == STATUS_OK)
        status = check_whole(&loads, message);
    ini_free(&ini);
    if (status != STATUS_OK)
        loads_free(&loads);
    else
        *ret_loads = loads;
    return status;
}
