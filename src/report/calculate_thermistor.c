#include "report/calculate_parts.h"
#include "report/teardown_json.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

enum { VALUES = 64 };
static const double usual_spread = 0.01;

struct value {
    double ohm, degc; /* NaN: the other is asked for */
};

struct asked {
    double r25_ohm, beta_k, spread; /* NaN: not said */
    double ohm[3], degc[3];
    int points;
    struct value values[VALUES];
    size_t count;
};

static void *begin(void)
{
    struct asked *asked = memory_get(sizeof *asked);
    *asked = (struct asked){.r25_ohm = NAN, .beta_k = NAN, .spread = NAN};
    return asked;
}

static bool read_whole(struct span words, double *ret_value, enum quantity *ret_quantity)
{
    words = span_trim(words);
    size_t used = quantity_read(words, '.', ret_value, NULL, ret_quantity);
    return used > 0 && used == words.n;
}

static enum status take_point(const char *field, const char *value, struct asked *asked, struct message *message)
{
    const char *comma = strchr(value, ',');
    enum quantity first, second;
    double ohm, degc;
    if (comma == NULL || asked->points == 3 || !read_whole((struct span){value, (size_t)(comma - value)}, &ohm, &first) ||
        !read_whole(span_of(comma + 1), &degc, &second) || first != QUANTITY_RESISTANCE || second != QUANTITY_TEMPERATURE)
        return calculate_refuse(field, value, "32.65kΩ,0°C, three times", message);
    asked->ohm[asked->points] = ohm;
    asked->degc[asked->points++] = degc;
    return STATUS_OK;
}

static enum status take_value(const char *value, struct asked *asked, struct message *message)
{
    enum quantity quantity;
    double number;
    if (asked->count == VALUES)
        return status_fail(message, STATUS_USAGE, "more than %d at once", VALUES);
    bool read = read_whole(span_of(value), &number, &quantity), warm = read && quantity == QUANTITY_TEMPERATURE;
    if (!(warm ? number > -100 && number < 400 : read && quantity == QUANTITY_RESISTANCE && number > 0)) {
        status_fail(message, STATUS_USAGE, "'%s' is neither a resistance nor a temperature of a sensor", value);
        return status_remedy(message, "give it with its unit, as 28.7 kΩ or -20 °C");
    }
    asked->values[asked->count++] = (struct value){warm ? NAN : number, warm ? number : NAN};
    return STATUS_OK;
}

static enum status take_spread(const char *value, struct asked *asked, struct message *message)
{
    enum quantity quantity;
    double share;
    if (!read_whole(span_of(value), &share, &quantity) || quantity != QUANTITY_RATIO || !(share >= 0 && share < 0.5))
        return calculate_refuse("spread", value, "1%", message);
    asked->spread = share;
    return STATUS_OK;
}

static enum status take(void *context, const char *field, const char *value, struct message *message)
{
    static const struct calculate_amount r25 = {"r25", "10 kΩ", QUANTITY_RESISTANCE, NAN, 0, 1e9},
                                         beta = {"beta", "3435, in kelvin", QUANTITY_NONE, 1, 500, 10000};
    struct asked *asked = context;
    if (strcmp(field, "r25") == 0)
        return calculate_take(&r25, value, &asked->r25_ohm, message);
    if (strcmp(field, "beta") == 0)
        return calculate_take(&beta, value, &asked->beta_k, message);
    if (strcmp(field, "spread") == 0)
        return take_spread(value, asked, message);
    return strcmp(field, "value") == 0 ? take_value(value, asked, message) : take_point(field, value, asked, message);
}

static enum status curve_of(const struct asked *asked, struct thermistor *ret_part, struct message *message)
{
    enum status status = STATUS_OK;
    if (asked->points == 3 && isnan(asked->r25_ohm)) {
        status = thermistor_through(asked->ohm, asked->degc, ret_part, message);
    } else if (asked->points == 0 && !isnan(asked->r25_ohm) && !isnan(asked->beta_k)) {
        *ret_part = thermistor_beta(asked->r25_ohm, asked->beta_k);
    } else {
        status_fail(message, STATUS_USAGE, "a curve is R25 with B, or three points of a table");
        return status_remedy(message, "as in r25 10kΩ with beta 3435");
    }
    ret_part->r25_share = ret_part->beta_share = isnan(asked->spread) ? usual_spread : asked->spread;
    return status;
}

static json_t *answer_one(const struct thermistor *part, const struct value *value, struct listing *rows)
{
    double ohm = isnan(value->ohm) ? thermistor_ohm(part, value->degc) : value->ohm;
    struct measure degc = thermistor_measure_degc(part, ohm, 0);
    char words[160];
    measure_print(&degc, "°C", words, sizeof words);
    listing_add(rows, ohm < 1000 ? "%.4g Ω" : "%.4g kΩ", ohm < 1000 ? ohm : ohm / 1000);
    listing_add(rows, measure_known(&degc) ? "%s" : "cannot tell: %s", measure_known(&degc) ? words : degc.why);
    json_t *one = json_object();
    json_put(one, "ohm", json_number(ohm));
    json_put(one, "degc", json_measure(&degc, QUANTITY_TEMPERATURE));
    return one;
}

static enum status answer(const void *context, struct calculated *calculated, struct message *message)
{
    const struct asked *asked = context;
    struct thermistor part;
    if (asked->count == 0) {
        status_fail(message, STATUS_USAGE, "nothing is asked");
        return status_remedy(message, "give a resistance or a temperature, as 28.7kΩ or -20°C");
    }
    if (curve_of(asked, &part, message) != STATUS_OK)
        return message->status;
    json_t *list = json_array();
    for (size_t k = 0; k < asked->count; k++)
        json_array_append_new(list, answer_one(&part, &asked->values[k], &calculated->rows));
    calculated->json = json_object();
    json_put(calculated->json, "answers", list);
    if (isnan(asked->spread))
        listing_add(&calculated->assumed, "R25 and B each to %g %% (common practice, no source).", usual_spread * 100);
    listing_add(&calculated->assumed, "The board's sensor follows this curve: which one it uses is not printed on it.");
    return STATUS_OK;
}

static const char *const fields[] = {"r25", "beta", "point", "point1", "point2", "point3", "spread", "value", NULL};
static const char *const sources[] = {
    "R25 and B: R = R25 exp(B(1/T - 1/298.15 K)), which departs by kelvins outside the two temperatures that B is taken from.",
    "Three points: Steinhart and Hart, Deep-Sea Research 15 (1968) 497.", NULL};
const struct calculation calculate_thermistor = {
    .name = "thermistor", .word = "value", .fields = fields, .method = "docs/teardown.md", .sources = sources,
    .caution = "Measure a sensor with its plug pulled off the board: beside what it is wired to, it reads too low.",
    .begin = begin, .take = take, .answer = answer};
