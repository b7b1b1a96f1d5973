#include "claims/claim_names.h"

#include "base/nearest.h"

#include <ctype.h>

const struct claim_name claim_names[] = {
    {"nominal voltage", CLAIM_NOMINAL_VOLTAGE, "Nominal voltage", SENSE_ABOUT, QUANTITY_VOLTAGE},
    {"capacity", CLAIM_CAPACITY, "Capacity", SENSE_AT_LEAST, QUANTITY_CHARGE},
    {"rated capacity", CLAIM_CAPACITY, NULL, SENSE_AT_LEAST, QUANTITY_CHARGE},
    {"energy", CLAIM_ENERGY, "Energy", SENSE_AT_LEAST, QUANTITY_ENERGY},
    {"rated energy", CLAIM_ENERGY, NULL, SENSE_AT_LEAST, QUANTITY_ENERGY},
    {"continuous current", CLAIM_CONTINUOUS_CURRENT, "Continuous current", SENSE_AT_LEAST, QUANTITY_CURRENT},
    {"continuous discharge current", CLAIM_CONTINUOUS_CURRENT, NULL, SENSE_AT_LEAST, QUANTITY_CURRENT},
    {"peak current", CLAIM_PEAK_CURRENT, "Peak current", SENSE_AT_LEAST, QUANTITY_CURRENT},
    {"burst current", CLAIM_PEAK_CURRENT, NULL, SENSE_AT_LEAST, QUANTITY_CURRENT},
    {"charge voltage", CLAIM_CHARGE_VOLTAGE, "Charge voltage", SENSE_AT_LEAST, QUANTITY_VOLTAGE},
    {"charge current", CLAIM_CHARGE_CURRENT, "Charge current", SENSE_AT_LEAST, QUANTITY_CURRENT},
    {"cut-off voltage", CLAIM_CUT_OFF_VOLTAGE, "Low-voltage cut-off", SENSE_AT_LEAST, QUANTITY_VOLTAGE},
    {"low-voltage cut-off", CLAIM_CUT_OFF_VOLTAGE, NULL, SENSE_AT_LEAST, QUANTITY_VOLTAGE},
    {"discharge cut-off voltage", CLAIM_CUT_OFF_VOLTAGE, NULL, SENSE_AT_LEAST, QUANTITY_VOLTAGE},
    {"charge cut-off voltage", CLAIM_CHARGE_CUT_OFF, "Charge cut-off", SENSE_AT_MOST, QUANTITY_VOLTAGE},
    {"high-voltage cut-off", CLAIM_CHARGE_CUT_OFF, NULL, SENSE_AT_MOST, QUANTITY_VOLTAGE},
    {"lowest charge temperature", CLAIM_CHARGE_TEMPERATURE_MIN, "Lowest charge temperature", SENSE_AT_LEAST,
     QUANTITY_TEMPERATURE},
    {"highest charge temperature", CLAIM_CHARGE_TEMPERATURE_MAX, "Highest charge temperature", SENSE_AT_MOST,
     QUANTITY_TEMPERATURE},
    {"lowest discharge temperature", CLAIM_DISCHARGE_TEMPERATURE_MIN, "Lowest discharge temperature",
     SENSE_AT_LEAST, QUANTITY_TEMPERATURE},
    {"highest discharge temperature", CLAIM_DISCHARGE_TEMPERATURE_MAX, "Highest discharge temperature",
     SENSE_AT_MOST, QUANTITY_TEMPERATURE},
    {"mass", CLAIM_MASS, "Mass", SENSE_AT_MOST, QUANTITY_MASS},
    {"weight", CLAIM_MASS, NULL, SENSE_AT_MOST, QUANTITY_MASS},
    {"length", CLAIM_LENGTH, "Length", SENSE_AT_MOST, QUANTITY_LENGTH},
    {"width", CLAIM_WIDTH, "Width", SENSE_AT_MOST, QUANTITY_LENGTH},
    {"height", CLAIM_HEIGHT, "Height", SENSE_AT_MOST, QUANTITY_LENGTH},
    {"cells", CLAIM_CELLS, "Cells in series", SENSE_ABOUT, QUANTITY_COUNT_OF},
    {"cycle life", CLAIM_CYCLE_LIFE, "Cycle life", SENSE_AT_LEAST, QUANTITY_COUNT_OF},
    {"resistance", CLAIM_RESISTANCE, "Internal resistance", SENSE_AT_MOST, QUANTITY_RESISTANCE},
    {"internal resistance", CLAIM_RESISTANCE, NULL, SENSE_AT_MOST, QUANTITY_RESISTANCE},
    {"efficiency", CLAIM_EFFICIENCY, "Efficiency", SENSE_AT_LEAST, QUANTITY_RATIO},
    {NULL, 0, NULL, 0, QUANTITY_NONE},
};

const struct claim_name *claim_name_find(const char *written)
{
    for (const struct claim_name *name = claim_names; name->written != NULL; name++)
        if (name_alike(span_of(written), name->written))
            return name;
    return NULL;
}

static const struct claim_name *of_kind(enum claim_kind kind)
{
    for (const struct claim_name *name = claim_names; name->written != NULL; name++)
        if (name->kind == kind && name->shown != NULL)
            return name;
    return NULL;
}

const char *claim_kind_shown(enum claim_kind kind)
{
    const struct claim_name *name = of_kind(kind);
    return name != NULL ? name->shown : "";
}

enum quantity claim_kind_quantity(enum claim_kind kind)
{
    const struct claim_name *name = of_kind(kind);
    return name != NULL ? name->quantity : QUANTITY_NONE;
}

void claim_name_within(const char *name, char *buffer, size_t size)
{
    span_copy(span_of(name), buffer, size);
    if (islower((unsigned char)buffer[1]) || buffer[1] == ' ')
        buffer[0] = (char)tolower((unsigned char)buffer[0]);
}

void claim_slug(const char *words, char *buffer, size_t size)
{
    size_t n = 0;
    for (; *words != '\0' && n + 1 < size; words++) {
        unsigned char c = (unsigned char)*words;
        if (isalnum(c) || c >= 0x80)
            buffer[n++] = (char)tolower(c);
        else if (n > 0 && buffer[n - 1] != '-')
            buffer[n++] = '-';
    }
    while (n > 0 && buffer[n - 1] == '-')
        n--;
    buffer[n] = '\0';
}
