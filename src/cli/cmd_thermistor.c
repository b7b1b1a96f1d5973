#include "cli/commands.h"

#include "base/number.h"
#include "cli/desk.h"
#include "cli/table_text.h"
#include "quantity/unit.h"
#include "report/teardown_json.h"

const char thermistor_about[] =
    "Turns the resistance of a board's sensor (NTC) into a temperature and back, by B or by a curve through three points\n"
    "of its table (Steinhart–Hart), with what the part's own spread makes of it.\n\n"
    "  rundown thermistor --r25 10kΩ --beta 3435 28.7kΩ 4.9kΩ\n"
    "  rundown thermistor --r25 10kΩ --beta 3435 -20°C 0°C 45°C\n"
    "  rundown thermistor --point 32.65kΩ,0°C --point 10kΩ,25°C --point 3.6kΩ,50°C 27kΩ\n\n"
    "Which curve a board uses is not printed on it: the temperature is that of the curve assumed. Measure an open sensor\n"
    "only with the board unpowered.";

enum { OPT_R25, OPT_BETA, OPT_POINT, OPT_SPREAD, OPT_JSON, ASKED = 64 };

const struct option_spec thermistor_options[] = {
    [OPT_R25] = {"r25", "OHM", "resistance at 25 °C"},
    [OPT_BETA] = {"beta", "KELVIN", "B, as its maker prints it for two temperatures"},
    [OPT_POINT] = {"point", "OHM,TEMP", "a point of its table; three of them instead of --r25 and --beta"},
    [OPT_SPREAD] = {"spread", "SHARE", "of R25 and B, ± (1 % where nothing is said)"},
    [OPT_JSON] = {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

struct asked {
    double ohm, degc; /* NaN: the other is asked for */
};

struct arguments {
    double r25_ohm, beta_k, spread, ohm[3], degc[3];
    int points;
    struct asked asked[ASKED];
    size_t count;
    bool json;
};

static bool read_quantity(struct span words, double *ret_value, enum quantity *ret_quantity)
{
    words = span_trim(words);
    size_t used = quantity_read(words, '.', ret_value, NULL, ret_quantity);
    return used > 0 && used == words.n;
}

static enum status refuse(const char *option, const char *value, const char *example, struct message *message)
{
    status_fail(message, STATUS_USAGE, "%s cannot use '%s'", option, value);
    return status_remedy(message, "give it as `%s`", example);
}

static enum status take_point(const char *value, struct arguments *a, struct message *message)
{
    const char *comma = strchr(value, ',');
    enum quantity first, second;
    double ohm, degc;
    if (comma == NULL || a->points == 3 || !read_quantity((struct span){value, (size_t)(comma - value)}, &ohm, &first) ||
        !read_quantity(span_of(comma + 1), &degc, &second) || first != QUANTITY_RESISTANCE ||
        second != QUANTITY_TEMPERATURE)
        return refuse("--point", value, "--point 32.65kΩ,0°C, three times", message);
    a->ohm[a->points] = ohm;
    a->degc[a->points++] = degc;
    return STATUS_OK;
}

static enum status take_asked(const char *value, struct arguments *a, struct message *message)
{
    enum quantity quantity;
    double number;
    if (a->count == ASKED)
        return status_fail(message, STATUS_USAGE, "more than %d at once", ASKED);
    if (!read_quantity(span_of(value), &number, &quantity) ||
        (quantity != QUANTITY_RESISTANCE && quantity != QUANTITY_TEMPERATURE && quantity != QUANTITY_NONE))
        return refuse("thermistor", value, "28.7kΩ` or `-20°C", message);
    bool warm = quantity == QUANTITY_TEMPERATURE;
    a->asked[a->count++] = (struct asked){warm ? NAN : number, warm ? number : NAN};
    return STATUS_OK;
}

static enum status take(int option, const char *value, struct arguments *a, struct message *message)
{
    enum quantity quantity;
    switch (option) {
    case OPTION_WORD: return take_asked(value, a, message);
    case OPT_R25:
        return read_quantity(span_of(value), &a->r25_ohm, &quantity) && a->r25_ohm > 0 &&
                       (quantity == QUANTITY_RESISTANCE || quantity == QUANTITY_NONE)
                   ? STATUS_OK
                   : refuse("--r25", value, "--r25 10kΩ", message);
    case OPT_BETA:
        return number_is(span_of(value), '.', &a->beta_k) && a->beta_k > 500 && a->beta_k < 10000
                   ? STATUS_OK
                   : refuse("--beta", value, "--beta 3435", message);
    case OPT_POINT: return take_point(value, a, message);
    case OPT_SPREAD:
        return read_quantity(span_of(value), &a->spread, &quantity) && quantity == QUANTITY_RATIO && a->spread >= 0 &&
                       a->spread < 0.5
                   ? STATUS_OK
                   : refuse("--spread", value, "--spread 1%", message);
    default: a->json = true;
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = thermistor_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(k, value, a, message);
    if (status == STATUS_OK && a->count == 0) {
        status_fail(message, STATUS_USAGE, "nothing is asked");
        status = status_remedy(message, "give a resistance or a temperature: `rundown thermistor --r25 10kΩ --beta 3435 28.7kΩ`");
    }
    return status;
}

static enum status curve_of(const struct arguments *a, struct thermistor *ret_part, struct message *message)
{
    enum status status = STATUS_OK;
    if (a->points == 3 && isnan(a->r25_ohm)) {
        status = thermistor_through(a->ohm, a->degc, ret_part, message);
    } else if (a->points == 0 && !isnan(a->r25_ohm) && !isnan(a->beta_k)) {
        *ret_part = thermistor_beta(a->r25_ohm, a->beta_k);
    } else {
        status_fail(message, STATUS_USAGE, "a curve is --r25 with --beta, or --point three times");
        return status_remedy(message, "as in `rundown thermistor --r25 10kΩ --beta 3435 28.7kΩ`");
    }
    ret_part->r25_share = ret_part->beta_share = a->spread;
    return status;
}

static void add_answers(const struct arguments *a, const struct thermistor *part, struct text *text)
{
    json_t *all = json_object(), *list = json_array();
    struct listing rows = listing_of(2);
    for (size_t k = 0; k < a->count; k++) {
        double ohm = isnan(a->asked[k].ohm) ? thermistor_ohm(part, a->asked[k].degc) : a->asked[k].ohm;
        struct measure degc = thermistor_measure_degc(part, ohm, 0);
        char words[160];
        measure_print(&degc, "°C", words, sizeof words);
        listing_add(&rows, ohm < 1000 ? "%.4g Ω" : "%.4g kΩ", ohm < 1000 ? ohm : ohm / 1000);
        listing_add(&rows, measure_known(&degc) ? "%s" : "cannot tell: %s", measure_known(&degc) ? words : degc.why);
        json_t *one = json_object();
        json_put(one, "ohm", json_number(ohm));
        json_put(one, "degc", json_measure(&degc, QUANTITY_TEMPERATURE));
        json_array_append_new(list, one);
    }
    json_put(all, "answers", list);
    if (a->json)
        json_add_text(all, false, text), text_add(text, "\n");
    else
        table_text(&rows, 0, text);
    json_decref(all);
    listing_free(&rows);
}

int thermistor_run(int argc, char **argv)
{
    struct arguments a = {.r25_ohm = NAN, .beta_k = NAN, .spread = 0.01};
    struct thermistor part;
    struct message message;
    struct text text = TEXT_EMPTY;
    if (parse(argc, argv, &a, &message) != STATUS_OK || curve_of(&a, &part, &message) != STATUS_OK)
        return cli_fail(&message);
    add_answers(&a, &part, &text);
    enum status status = desk_print(&text, &message);
    text_free(&text);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
