#include "rehearsal/beside.h"

/* A step of the findings is that of the truth within so much, by either one's own start of the test. */
static const double same_step_s = 10;

struct table {
    struct text *text; /* NULL: as JSON */
    json_t *rows;
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

struct row {
    const char *what;
    double truth, value, low, high;
    int decimals;
    bool held;
};

static void add_words(struct text *text, const struct row *row)
{
    char interval[80];
    int n = row->decimals;
    snprintf(interval, sizeof interval, "%.*f to %.*f", n, row->low, n, row->high);
    text_addf(text, "%-34s %12.*f %12.*f   %-26s %s\n", row->what, n, row->truth, n, row->value, interval,
              row->held ? "holds" : "misses");
}

static json_t *row_json(const struct row *row)
{
    static const char *const keys[] = {"true", "found", "low", "high"};
    const double values[] = {row->truth, row->value, row->low, row->high};
    json_t *one = json_object();
    json_put_words(one, "what", row->what);
    for (int k = 0; k < 4; k++) {
        char printed[48];
        snprintf(printed, sizeof printed, "%.*f", row->decimals, values[k]);
        json_put_words(one, keys[k], printed);
    }
    json_put(one, "holds", json_boolean(row->held));
    return one;
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
    const struct row row = {what, truth, value, low, high, decimals, held};
    if (table->text != NULL)
        add_words(table->text, &row);
    else
        json_array_append_new(table->rows, row_json(&row));
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

/* Whether both are what they should be; the test that was found. */
static enum status check(const char *truth_path, const json_t *truth, const char *found_path, const json_t *found,
                         const json_t **ret_test, struct message *message)
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
    *ret_test = test;
    return STATUS_OK;
}

static void add_all(struct table *table, const json_t *truth, const json_t *found, const json_t *test)
{
    static const struct {
        const char *what, *key;
    } of_test[] = {{"Ah delivered", "charge_ah"},
                   {"Wh delivered", "energy_wh"},
                   {"mean volts", "mean_v"},
                   {"seconds to the cut-off", "duration_s"}};
    for (size_t k = 0; k < sizeof of_test / sizeof *of_test; k++)
        add_row(table, of_test[k].what, number_at(truth, "test", of_test[k].key), json_object_get(test, of_test[k].key),
                1);
    add_bursts(table, truth, found);
    add_steps(table, truth, found, number_at(test, NULL, "start_s"));
}

enum status beside_table(const char *truth_path, const json_t *truth, const char *found_path,
                         const json_t *found, struct text *text, int *ret_told, int *ret_held,
                         struct message *message)
{
    const json_t *test = NULL;
    enum status status = check(truth_path, truth, found_path, found, &test, message);
    if (status != STATUS_OK)
        return status;
    struct table table = {.text = text};
    text_addf(text, "%-34s %12s %12s   %-26s\n", "", "true", "found", "95 % interval");
    add_all(&table, truth, found, test);
    *ret_told = table.told;
    *ret_held = table.held;
    return STATUS_OK;
}

enum status beside_json(const char *truth_path, const json_t *truth, const char *found_path, const json_t *found,
                        json_t **ret_value, struct message *message)
{
    const json_t *test = NULL;
    enum status status = check(truth_path, truth, found_path, found, &test, message);
    if (status != STATUS_OK)
        return status;
    struct table table = {.rows = json_array()};
    add_all(&table, truth, found, test);
    *ret_value = json_object();
    json_put(*ret_value, "told", json_integer(table.told));
    json_put(*ret_value, "held", json_integer(table.held));
    json_put(*ret_value, "rows", table.rows);
    return STATUS_OK;
}
