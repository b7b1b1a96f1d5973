#include "rehearsal/beside.h"

/* A step of the findings is that of the truth within so much, by either one's own start of the test. */
static const double same_step_s = 10;

struct table {
    struct text *text;
    int told, held;
};

/* A number under a path of keys, `test charge_ah`; NaN where there is none. */
static double number_at(const json_t *object, const char *first, const char *second)
{
    const json_t *inner = first != NULL ? json_object_get(object, first) : object;
    const json_t *value = json_object_get(inner, second);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

/* Decimals that show two digits of a half-width. */
static int decimals_of(double half)
{
    int decimals = half > 0 ? 1 - (int)floor(log10(half)) : 3;
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

/* One row; nothing when the finding cannot tell. */
static void add_row(struct table *table, const char *what, double truth, const json_t *measured,
                    double factor)
{
    double value = number_at(measured, NULL, "value") * factor;
    double low = number_at(measured, NULL, "low") * factor, high = number_at(measured, NULL, "high") * factor;
    truth *= factor;
    if (isnan(truth) || isnan(value) || isnan(low) || isnan(high))
        return;
    int decimals = decimals_of((high - low) / 2);
    bool held = low <= truth && truth <= high;
    char interval[80];
    snprintf(interval, sizeof interval, "%.*f to %.*f", decimals, low, decimals, high);
    text_addf(table->text, "%-34s %12.*f %12.*f   %-26s %s\n", what, decimals, truth, decimals, value,
              interval, held ? "holds" : "misses");
    table->told++;
    table->held += held;
}

/* The truth's step at the same moment of the test. */
static const json_t *same_step(const json_t *truth, double since_start_s)
{
    size_t k;
    const json_t *step, *nearest = NULL;
    double start_s = number_at(truth, "test", "start_s"), best_s = same_step_s;
    json_array_foreach(json_object_get(truth, "steps"), k, step)
    {
        double away_s = fabs(number_at(step, NULL, "at_s") - start_s - since_start_s);
        if (away_s < best_s)
            nearest = step, best_s = away_s;
    }
    return nearest;
}

static double resistance_after(const json_t *step, double delay_s)
{
    size_t k;
    const json_t *one;
    json_array_foreach(json_object_get(step, "resistance"), k,
                       one) if (number_at(one, NULL, "delay_s") == delay_s) return number_at(one, NULL,
                                                                                             "ohm");
    return NAN;
}

static void add_steps(struct table *table, const json_t *truth, const json_t *found, double found_start_s)
{
    size_t k, i;
    const json_t *step, *ohm;
    json_array_foreach(json_object_get(found, "steps"), k, step)
    {
        double since_s = number_at(step, NULL, "at_s") - found_start_s;
        const json_t *same = same_step(truth, since_s);
        json_array_foreach(json_object_get(step, "resistance_ohm"), i, ohm)
        {
            double delay_s = number_at(ohm, NULL, "delay_s");
            char what[64];
            snprintf(what, sizeof what, "mohm %.0f s after %.0f to %.0f A", delay_s,
                     round(number_at(step, NULL, "from_a")) + 0.0,
                     round(number_at(step, NULL, "to_a")) + 0.0);
            if (same != NULL)
                add_row(table, what, resistance_after(same, delay_s), ohm, 1e3);
        }
    }
}

/* Bursts in the order of both; a program has few. */
static void add_bursts(struct table *table, const json_t *truth, const json_t *found)
{
    size_t k, next = 0;
    const json_t *segment, *bursts = json_object_get(found, "bursts");
    json_array_foreach(json_object_get(truth, "segments"), k, segment)
    {
        const json_t *cost = json_object_get(segment, "burst_cost");
        if (cost != NULL && next < json_array_size(bursts))
            add_row(table, "Wh that the burst cost", number_at(cost, NULL, "energy_wh"),
                    json_object_get(json_array_get(bursts, next++), "cost_wh"), 1);
    }
}

static enum status not_it(const char *path, const char *what, const char *remedy, struct message *message)
{
    status_fail(message, STATUS_MALFORMED, "this is not %s", what);
    status_at(message, path, 0, 0);
    return status_remedy(message, "%s", remedy);
}

enum status beside_table(const char *truth_path, const json_t *truth, const char *found_path,
                         const json_t *found, struct text *text, int *ret_told, int *ret_held,
                         struct message *message)
{
    if (!json_is_object(json_object_get(truth, "test")) || !json_is_array(json_object_get(truth, "steps")))
        return not_it(truth_path, "the truth of a rehearsal", "`rundown rehearse --truth FILE` writes one",
                      message);
    const json_t *test = json_array_get(json_object_get(found, "tests"), 0);
    if (!json_is_array(json_object_get(found, "steps")) || test == NULL)
        return not_it(found_path, "what `assess --json` prints", "give the findings of the rehearsed run",
                      message);
    if (!json_is_object(test))
        return not_it(found_path, "the findings of a discharge", "nothing can be held against the truth",
                      message);
    struct table table = {.text = text};
    text_addf(text, "%-34s %12s %12s   %-26s\n", "", "true", "found", "95 % interval");
    add_row(&table, "Ah delivered", number_at(truth, "test", "charge_ah"), json_object_get(test, "charge_ah"),
            1);
    add_row(&table, "Wh delivered", number_at(truth, "test", "energy_wh"), json_object_get(test, "energy_wh"),
            1);
    add_row(&table, "mean volts", number_at(truth, "test", "mean_v"), json_object_get(test, "mean_v"), 1);
    add_row(&table, "seconds to the cut-off", number_at(truth, "test", "duration_s"),
            json_object_get(test, "duration_s"), 1);
    add_bursts(&table, truth, found);
    add_steps(&table, truth, found, number_at(test, NULL, "start_s"));
    *ret_told = table.told;
    *ret_held = table.held;
    return STATUS_OK;
}
