#include "teardown/inspect_parts.h"

#include "base/nearest.h"
#include "numeric/budget.h"
#include "teardown/thermistor.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What is sold as a sensor of temperature: common practice, no source. */
static const double least_beta_k = 1500, most_beta_k = 8000;
enum { READS = 12, SEEN = 64 };

/* One measured resistance, and the thermometer beside it. */
struct sensor_read {
    struct opened_amount ohm, degc;
};

static enum status read_reads(const struct opened_look *look, struct sensor_read reads[READS], size_t *ret_count)
{
    size_t count = 0;
    for (size_t k = 0; k < look->item->entry_count; k++) {
        const struct opened_entry *entry = &look->item->entries[k];
        if (!name_alike(span_of(entry->key), "reads"))
            continue;
        if (count == READS) {
            opened_fault(look, entry, 0, "`%s` is one reading too many: there are %d", entry->value, READS);
            return status_remedy(look->message, "put the others into an item of their own, as `[sensor again]`");
        }
        struct sensor_read *read = &reads[count];
        enum status status = opened_amount_at(look, entry, 0, QUANTITY_RESISTANCE, &read->ohm);
        if (status == STATUS_OK && !(read->ohm.value > 0))
            status = opened_fault(look, entry, 0, "`%s` is no resistance above 0", entry->value);
        read->degc = (struct opened_amount){NAN, NAN, ""};
        const char *degc = status != STATUS_OK ? "" : read->ohm.words;
        degc += strncmp(degc, "at ", 3) == 0 ? 3 : 0;
        if (degc[0] != '\0')
            status = opened_amount_at(look, entry, (size_t)(degc - entry->value), QUANTITY_TEMPERATURE, &read->degc);
        if (status != STATUS_OK)
            return status;
        count++;
    }
    *ret_count = count;
    return STATUS_OK;
}

/* Whether the thermometer beside it speaks against the curve. */
static bool say_reading(const struct thermistor *curve, const struct sensor_read *read, struct inspected *item)
{
    struct measure degc = thermistor_measure_degc(curve, read->ohm.value, read->ohm.half / read->ohm.value);
    say_measure(item, QUANTITY_TEMPERATURE, &degc, "%.4g kΩ by its stated curve", read->ohm.value / 1000);
    if (!measure_known(&degc) || isnan(read->degc.value))
        return false;
    struct measure beside = within_half(read->degc.value, fmax(read->degc.half, 0.5), "thermometer");
    struct measure off = measure_sum(&degc, 1, &beside, -1);
    budget_close(&off);
    say_measure(item, QUANTITY_TEMPERATURE, &off, "that, less the thermometer's %g °C", read->degc.value);
    return off.lo > 0 || off.hi < 0;
}

static void say_readings(const struct thermistor *curve, const struct sensor_read *reads, size_t count, struct inspected *item)
{
    size_t off = 0;
    for (size_t k = 0; k < count; k++)
        off += say_reading(curve, &reads[k], item);
    if (off > 0)
        say_means(item, "It is not on the stated curve: the bead was warmer or cooler than the thermometer, or it is another part.");
}

/* Two readings far enough apart make a curve of their own. */
static void say_own_curve(const struct sensor_read *reads, size_t count, struct inspected *item)
{
    if (count < 2 || isnan(reads[0].degc.value) || isnan(reads[1].degc.value) ||
        !(fabs(reads[0].degc.value - reads[1].degc.value) >= 5) || reads[0].ohm.value == reads[1].ohm.value)
        return;
    double beta = thermistor_beta_of(reads[0].ohm.value, reads[0].degc.value, reads[1].ohm.value, reads[1].degc.value);
    if (!(beta > 0)) {
        say_means(item, "Its resistance rises with temperature: no NTC thermistor, or readings that were swapped.");
        return;
    }
    if (beta < least_beta_k || beta > most_beta_k) {
        say_means(item, "Its first two readings make a B of %.0f K, which no sensor has: one of them is off.", beta);
        return;
    }
    struct thermistor at_25 = thermistor_beta(1, beta);
    say_words(item, "curve by these readings", "R25 %.4g kΩ, B %.4g K between %g and %g °C",
              reads[0].ohm.value / thermistor_ohm(&at_25, reads[0].degc.value) / 1000, beta,
              fmin(reads[0].degc.value, reads[1].degc.value), fmax(reads[0].degc.value, reads[1].degc.value));
}

/* Numbers after `cell` or `cells`: `between cells 2 and 3`. */
static void add_cells_seen(const char *words, bool seen[SEEN])
{
    const char *at = words != NULL ? strcasestr(words, "cell") : NULL;
    for (; at != NULL && *at != '\0'; at++) {
        if (*at < '0' || *at > '9')
            continue;
        int number = 0;
        for (; *at >= '0' && *at <= '9'; at++)
            number = number < SEEN ? 10 * number + (*at - '0') : number;
        if (number > 0 && number < SEEN)
            seen[number] = true;
        if (*at == '\0')
            return;
    }
}

static void cells_of(const struct opened_item *sensor, bool seen[SEEN])
{
    const char *touches = opened_value(sensor, "touches");
    bool any = false;
    add_cells_seen(touches, seen);
    for (int k = 0; k < SEEN; k++)
        any |= seen[k];
    if (!any)
        add_cells_seen(opened_value(sensor, "place"), seen);
}

static void list_cells(const bool seen[SEEN], bool wanted, int cells, char *buffer, size_t size)
{
    size_t n = 0;
    buffer[0] = '\0';
    for (int k = 1; k <= cells && k < SEEN && n < size; k++)
        if (seen[k] == wanted)
            n += (size_t)snprintf(buffer + n, size - n, "%s%d", n > 0 ? ", " : "", k);
}

int inspect_cells_in_series(const struct inspecting *in)
{
    int series, parallel;
    for (size_t k = 0; k < in->opened->count; k++)
        if (in->opened->items[k].kind == OPENED_CELLS && opened_arrangement(&in->opened->items[k], &series, &parallel))
            return series;
    return in->rated->cells;
}

void inspect_cells_unseen(const struct inspecting *in, char *ret_words, size_t size)
{
    bool seen[SEEN] = {false};
    for (size_t k = 0; k < in->opened->count; k++)
        if (in->opened->items[k].kind == OPENED_SENSOR)
            cells_of(&in->opened->items[k], seen);
    list_cells(seen, false, inspect_cells_in_series(in), ret_words, size);
}

static void say_what_it_sees(const struct inspecting *in, struct inspected *item)
{
    bool seen[SEEN] = {false};
    char cells[120];
    int all = inspect_cells_in_series(in);
    const char *touches = opened_value(item->item, "touches"), *place = opened_value(item->item, "place");
    cells_of(item->item, seen);
    list_cells(seen, true, SEEN - 1, cells, sizeof cells);
    if (cells[0] != '\0' && all > 0)
        say_words(item, "sees", "cell %s of %d; another one only by the heat that reaches it, later and less", cells, all);
    else if (cells[0] != '\0')
        say_words(item, "sees", "cell %s", cells);
    else if ((touches != NULL && strcasestr(touches, "board") != NULL) ||
             (touches == NULL && place != NULL && strcasestr(place, "board") != NULL))
        say_means(item, "On the board it sees the transistors and not the cells: cold cells beside a warm board look warm.");
    if (opened_says(item->item, "touches", "nothing") || opened_says(item->item, "touches", "air"))
        say_means(item, "In the air of the case it follows a cell by minutes to hours.");
}

enum status inspect_sensor(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount r25, beta;
    struct sensor_read reads[READS];
    size_t count = 0;
    int alike;
    enum status status = opened_amount(&look, "r25", QUANTITY_RESISTANCE, &r25);
    if (status == STATUS_OK)
        status = opened_bare_number(&look, "beta", "K", &beta);
    if (status == STATUS_OK)
        status = opened_count(&look, "count", &alike);
    if (status == STATUS_OK)
        status = read_reads(&look, reads, &count);
    if (status != STATUS_OK)
        return status;
    if (beta.value < least_beta_k || beta.value > most_beta_k)
        return opened_fault(&look, opened_entry(item->item, "beta"), 0, "no sensor has a B of %g K", beta.value);
    say_what_it_sees(in, item);
    if (!isnan(r25.value) && !isnan(beta.value)) {
        struct thermistor curve = thermistor_beta(r25.value, beta.value);
        say_readings(&curve, reads, count, item);
    } else if (count > 0) {
        say_means(item, "Which curve it has is not known: a resistance alone is no temperature.");
    }
    say_own_curve(reads, count, item);
    return STATUS_OK;
}
