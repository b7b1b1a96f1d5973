#include "rehearsal/script.h"

#include "base/nearest.h"
#include "rehearsal/clause.h"
#include "rehearsal/script_meters.h"
#include "rehearsal/script_program.h"

const char *const script_meter_names[METERS] = {"bench meter", "shunt meter", "probe"};

/* One key whose value is clauses. */
struct key {
    const char *name, *form;
    struct clause clauses[4];
};

static enum status read_key(const struct ini *ini, const struct ini_entry *entry, const struct key *keys,
                            size_t count, struct message *message)
{
    for (size_t k = 0; k < count; k++)
        if (name_alike(span_of(entry->key), keys[k].name))
            return clauses_read(ini, entry, keys[k].clauses, keys[k].form, message);
    return STATUS_OK; /* ini_known_keys has been before */
}

static enum status read_pack(const struct ini *ini, struct script *script, struct message *message)
{
    static const char *const known[] = {"cells", "capacity", "charged", "ambient", "cells differ", NULL};
    enum status status = ini_known_keys(ini, "pack", known, message);
    const struct ini_entry *entry = NULL;
    double cells = NAN, capacity_ah = NAN, charged = NAN, ambient_degc = NAN;
    const struct key keys[] = {
        {"capacity", "capacity = 103 Ah", {{"", QUANTITY_CHARGE, &capacity_ah, 0.5, 5000}}},
        {"charged", "charged = 98 %", {{"", QUANTITY_RATIO, &charged, 0.01, 1}}},
        {"ambient", "ambient = 18 degC", {{"", QUANTITY_TEMPERATURE, &ambient_degc, -30, 50}}},
    };
    while (status == STATUS_OK && (entry = ini_next(ini, "pack", NULL, entry)) != NULL) {
        if (name_alike(span_of(entry->key), "cells differ"))
            status = ini_yes(ini, entry, &script->cells_differ, message);
        else if (name_alike(span_of(entry->key), "cells"))
            status = ini_quantity(ini, entry, QUANTITY_NONE, &cells, NULL, message);
        else
            status = read_key(ini, entry, keys, sizeof keys / sizeof *keys, message);
        if (status == STATUS_OK && !isnan(cells) &&
            (cells < 1 || cells > PACK_MOST_CELLS || cells != floor(cells))) {
            ini_fault(ini, entry, 0, message, "a pack of %s cells cannot be rehearsed", entry->value);
            status = status_remedy(message, "give a whole number from 1 to %d", PACK_MOST_CELLS);
        }
    }
    if (status != STATUS_OK)
        return status;
    script->make =
        invented_fine_pack(NULL, isnan(cells) ? 4 : (int)cells, isnan(capacity_ah) ? 103 : capacity_ah);
    script->charged = isnan(charged) ? 1 : charged;
    if (!isnan(ambient_degc))
        script->make.ambient_degc = ambient_degc;
    return STATUS_OK;
}

static void take(double said, double *into)
{
    if (!isnan(said))
        *into = said;
}

/* What a limit of the board may say. */
struct limit {
    double at, for_s, again;
};

static enum status check_limits(const struct ini *ini, const struct bms_limits *bms, struct message *message)
{
    const char *what =
        bms->cold_release_degc < bms->cold_degc || bms->hot_release_degc > bms->hot_degc
            ? "the board's sensor would let charging in again before it has refused it"
        : bms->cold_degc >= bms->hot_degc       ? "the board's sensor is too cold and too hot at once"
        : bms->cell_under_v >= bms->cell_over_v ? "the board's cells are empty and full at once"
                                                : NULL;
    if (what == NULL)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "%s", what);
    status_at(message, ini->path, 0, 0);
    return status_remedy(message,
                         "put the limits of [board] in order: too cold, again above; again below, too hot");
}

static enum status read_board(const struct ini *ini, struct script *script, struct message *message)
{
    static const char *const known[] = {"over-discharge", "over-current",      "full", "too cold",
                                        "too hot",        "minds temperature", NULL};
    enum status status = ini_known_keys(ini, "board", known, message);
    struct limit under = {NAN, NAN, NAN}, over = under, full = under, cold = under, hot = under;
    const struct key keys[] = {
        {"over-discharge",
         "over-discharge = 2.5 V, for 2 s",
         {{"for", QUANTITY_TIME, &under.for_s, 0, 600}, {"", QUANTITY_VOLTAGE, &under.at, 0.5, 3.2}}},
        {"over-current",
         "over-current = 150 A, for 1 s",
         {{"for", QUANTITY_TIME, &over.for_s, 0, 600}, {"", QUANTITY_CURRENT, &over.at, 0.1, 1e5}}},
        {"full",
         "full = 3.65 V, for 2 s, again below 3.45 V",
         {{"for", QUANTITY_TIME, &full.for_s, 0, 600},
          {"again below", QUANTITY_VOLTAGE, &full.again, 2.5, 4.2},
          {"", QUANTITY_VOLTAGE, &full.at, 3.3, 4.5}}},
        {"too cold",
         "too cold = 0 degC, for 3 s, again above 5 degC",
         {{"for", QUANTITY_TIME, &cold.for_s, 0, 600},
          {"again above", QUANTITY_TEMPERATURE, &cold.again, -60, 100},
          {"", QUANTITY_TEMPERATURE, &cold.at, -60, 100}}},
        {"too hot",
         "too hot = 55 degC, for 3 s, again below 50 degC",
         {{"for", QUANTITY_TIME, &hot.for_s, 0, 600},
          {"again below", QUANTITY_TEMPERATURE, &hot.again, -60, 150},
          {"", QUANTITY_TEMPERATURE, &hot.at, -60, 150}}},
    };
    struct bms_limits *bms = &script->make.bms;
    const struct ini_entry *entry = NULL;
    while (status == STATUS_OK && (entry = ini_next(ini, "board", NULL, entry)) != NULL)
        status = name_alike(span_of(entry->key), "minds temperature")
                     ? ini_yes(ini, entry, &bms->minds_temperature, message)
                     : read_key(ini, entry, keys, sizeof keys / sizeof *keys, message);
    if (status != STATUS_OK)
        return status;
    take(under.at, &bms->cell_under_v), take(under.for_s, &bms->under_s);
    take(over.at, &bms->over_a), take(over.for_s, &bms->over_s);
    take(full.at, &bms->cell_over_v), take(full.for_s, &bms->over_v_s),
        take(full.again, &bms->cell_over_release_v);
    take(cold.at, &bms->cold_degc), take(cold.again, &bms->cold_release_degc),
        take(cold.for_s, &bms->temperature_s);
    take(hot.at, &bms->hot_degc), take(hot.again, &bms->hot_release_degc),
        take(hot.for_s, &bms->temperature_s);
    return check_limits(ini, bms, message);
}

static enum status read_top(const struct ini *ini, struct script *script, struct message *message)
{
    static const char *const known[] = {"name", "seed", "grid", NULL};
    const struct ini_entry *name, *seed, *grid;
    double number = script->seed;
    enum status status = ini_known_keys(ini, "", known, message);
    if (status == STATUS_OK)
        status = ini_optional(ini, "", "name", &name, message);
    if (status == STATUS_OK && name != NULL)
        span_copy(span_of(name->value), script->name, sizeof script->name);
    if (status == STATUS_OK)
        status = ini_optional(ini, "", "seed", &seed, message);
    if (status == STATUS_OK && seed != NULL)
        status = ini_quantity(ini, seed, QUANTITY_NONE, &number, NULL, message);
    if (status == STATUS_OK && seed != NULL &&
        !(number >= 0 && number <= UINT32_MAX && number == floor(number))) {
        ini_fault(ini, seed, 0, message, "'%s' is no seed", seed->value);
        status = status_remedy(message, "give a whole number from 0 to 4294967295");
    }
    if (status == STATUS_OK)
        status = ini_optional(ini, "", "grid", &grid, message);
    if (status == STATUS_OK && grid != NULL) {
        double grid_s = NAN;
        const struct clause clause[] = {{"", QUANTITY_TIME, &grid_s, 0.02, 10}, {0}};
        status = clauses_read(ini, grid, clause, "grid = 0.5 s", message);
        take(grid_s, &script->grid_s);
    }
    if (status == STATUS_OK)
        script->seed = (uint32_t)number;
    return status;
}

static void copy_claims(const struct ini *ini, struct script *script)
{
    const struct ini_entry *entry = NULL;
    while ((entry = ini_next(ini, "claims", NULL, entry)) != NULL)
        text_addf(&script->claims, "%s = %s\n", entry->key, entry->value);
}

static enum status read_all(const struct ini *ini, struct script *script, struct message *message)
{
    static const char *const known[] = {"",      "pack",   "board",   "bench meter", "shunt meter",
                                        "probe", "claims", "program", NULL};
    enum status status = ini_known_sections(ini, known, message);
    if (status == STATUS_OK)
        status = read_top(ini, script, message);
    if (status == STATUS_OK)
        status = read_pack(ini, script, message);
    if (status == STATUS_OK)
        status = read_board(ini, script, message);
    if (status == STATUS_OK)
        status = script_read_meters(ini, script, message);
    if (status == STATUS_OK)
        status = script_read_program(ini, script, message);
    if (status == STATUS_OK)
        copy_claims(ini, script);
    return status;
}

enum status script_read_text(const char *path, struct span text, struct script *ret_script,
                             struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct script script = {.name = "a rehearsal", .seed = 1, .grid_s = 0.5, .cells_differ = true};
    span_copy(span_of(path), script.path, sizeof script.path);
    status = read_all(&ini, &script, message);
    ini_free(&ini);
    if (status == STATUS_OK)
        *ret_script = script;
    else
        script_free(&script);
    return status;
}

enum status script_read(const char *path, struct script *ret_script, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = script_read_text(path, span_of(text_string(&text)), ret_script, message);
    text_free(&text);
    return status;
}

void script_free(struct script *script)
{
    text_free(&script->claims);
}
