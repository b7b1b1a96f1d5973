#include "cli/commands.h"

#include "base/number.h"
#include "cli/book_runs.h"
#include "cli/desk.h"
#include "cli/outputs.h"
#include "cli/values.h"
#include "claims/assessment.h"
#include "report/chosen_pictures.h"

const char assess_about[] =
    "Reads one or more logs of one sample (delimited text from any instrument, or readings typed by eye), says\n"
    "what it took each column for, finds runs, charge, energy, resistance and how it ended, each with its\n"
    "uncertainty, and holds every claim of the label against them.\n\n"
    "  rundown assess discharge.csv                          findings only, wide default accuracy\n"
    "  rundown assess discharge.csv --label s14.label --rig bench.rig --sheet s14.pdf --page s14.html\n"
    "  rundown assess film.readings --label s14.label        a dozen readings typed from a film\n"
    "  rundown assess plain.csv --column time=1 --column voltage=2 --column current=3\n"
    "  rundown assess log.csv --label s14.label --reply capacity   a card for a disputed claim\n"
    "  rundown assess workshop.book:12                       a run of a book, with the label and rig kept there\n"
    "  rundown assess workshop.book --sample \"Hut pack 3\"    all runs of a sample\n\n"
    "A log named - is standard input. Files ending in .readings, or that look like them, are readings by eye.";

enum {
    OPT_LABEL, OPT_RIG, OPT_PLAN, OPT_COLUMN, OPT_PERIOD, OPT_CURRENT, OPT_LOAD, OPT_CUT_OFF, OPT_DECIDE, OPT_JSON, OPT_SHEET,
    OPT_PAPER, OPT_DECIMAL, OPT_LEAVE_OUT, OPT_PAGE, OPT_FIGURE, OPT_EXPLAIN, OPT_REPLY, OPT_MISSING, OPT_COLUMNS, OPT_QUIET, OPT_COLOUR,
    OPT_SAMPLE, OPT_OPENED, OPT_KEEP,
};

const struct option_spec assess_options[] = {
    [OPT_LABEL] = {"label", "FILE", "the claims (docs/label.md)"},
    [OPT_RIG] = {"rig", "FILE", "the meters' accuracy (docs/rig.md); without it wide defaults stand"},
    [OPT_PLAN] = {"plan", "FILE", "a plan that the run was to follow (`rundown plan --save`): departures are named"},
    [OPT_COLUMN] = {"column", "WHAT=COLUMN", "settle a column: time, date, voltage, current, power, temperature, ambient,\n"
                                             "charge, energy, mode, step, mark; by number from 1 or by header"},
    [OPT_PERIOD] = {"period", "TIME", "the log has no time column: one row every so often, `1s`, `200ms`"},
    [OPT_CURRENT] = {"current", "SIGN", "discharge-positive or charge-positive, where the log cannot tell"},
    [OPT_LOAD] = {"load", "LAW", "constant-power, constant-current or resistance, to carry hand readings across gaps"},
    [OPT_CUT_OFF] = {"cut-off", "VOLTS", "also give what was delivered down to this voltage (repeatable)"},
    [OPT_DECIDE] = {"decide", "P", "probability of conformity that decides a claim, 0.975 if not given"},
    [OPT_JSON] = {"json", NULL, "print everything as JSON (docs/json.md) instead of the table"},
    [OPT_SHEET] = {"sheet", "FILE.pdf", "write the sheet, to print"},
    [OPT_PAPER] = {"paper", "SIZE", "a4 (default) or letter"},
    [OPT_DECIMAL] = {"decimal", "SIGN", "point (default) or comma: the decimal sign of sheet, page, figures and table"},
    [OPT_LEAVE_OUT] = {"leave-out", "PARTS", "what sheet and page do without, parted by commas: budgets, conditions, notices,\n"
                                             "cautions, recompute, pictures; both then say so"},
    [OPT_PAGE] = {"page", "FILE.html", "write the page: one file, no script, prints well"},
    [OPT_FIGURE] = {"figure", "FILE", "write a figure, .svg or .png; a name with `curve` in it gives the discharge\n"
                                      "curve, any other the claims ladder (repeatable)"},
    [OPT_EXPLAIN] = {"explain", "FINDING", "the chain from readings to a number: a claim, or charge, energy, mean-voltage,\n"
                                           "resistance, burst, load, ending, tally, conditions, protections, rate"},
    [OPT_REPLY] = {"reply", "CLAIM", "a card for a disputed claim: result, evidence, largest doubt, what would overturn it"},
    [OPT_MISSING] = {"missing", NULL, "what is missing for a defensible verdict, what to do next, how much it would help"},
    [OPT_COLUMNS] = {"columns", NULL, "say what each column was taken for and why, with the rows left out"},
    [OPT_QUIET] = {"quiet", NULL, "no progress and no column notes on standard error"},
    [OPT_COLOUR] = {"colour", "WHEN", "auto (default), always or never"},
    [OPT_SAMPLE] = {"sample", "NAME", "the one log is a book: assess all runs of this sample"},
    [OPT_OPENED] = {"opened", "FILE", "what was seen in the opened sample (docs/opened.md)"},
    [OPT_KEEP] = {"keep", NULL, "keep the findings in the book, beside the version of the method that made them"},
    {NULL, NULL, NULL},
};

enum { LOGS = 256 };

struct arguments {
    struct assess_request request;
    const char *logs[LOGS], *sample;
    struct sample_asked asked; /* of the sample */
    bool keep;
    struct column_wish wishes[VALUE_WISHES];
    struct outputs outputs;
    bool quiet;
};

static enum status take_sign(struct arguments *a, const char *value, struct message *message)
{
    enum sign_stated sign = SIGN_NOT_STATED;
    enum status status = value_sign("current", value, &sign, message);
    if (status == STATUS_OK)
        a->request.sign = sign == SIGN_DISCHARGE_POSITIVE ? 1 : -1;
    return status;
}

static enum status take_law(struct arguments *a, const char *value, struct message *message)
{
    static const char *const laws[] = {"constant-power", "constant-current", "resistance", NULL};
    int k = 0;
    enum status status = value_one_of("load", value, laws, &k, message);
    if (status == STATUS_OK)
        a->request.law = (enum load_law)(LOAD_POWER + k);
    return status;
}

static enum status take_cut_off(struct arguments *a, const char *value, struct message *message)
{
    if (a->request.cut_off_count == ASKED_CUT_OFFS)
        return status_fail(message, STATUS_USAGE, "more than %d cut-offs", ASKED_CUT_OFFS);
    double *into = &a->request.cut_offs[a->request.cut_off_count];
    enum status status = value_quantity("cut-off", value, QUANTITY_VOLTAGE, "10.8", into, message);
    a->request.cut_off_count += status == STATUS_OK;
    return status;
}

static enum status take_decide(struct arguments *a, const char *value, struct message *message)
{
    double p;
    if (number_is(span_of(value), '.', &p) && p > 0.5 && p < 1) {
        a->request.decide = p;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--decide cannot use '%s'", value);
    return status_remedy(message, "give a probability between 0.5 and 1, such as 0.975");
}

static enum status take_log(struct arguments *a, const char *value, struct message *message)
{
    if (a->request.log_count == LOGS)
        return status_fail(message, STATUS_USAGE, "more than %d logs at once", LOGS);
    a->logs[a->request.log_count++] = value;
    return STATUS_OK;
}

static enum status take_output(struct outputs *o, int option, const char *value, struct message *message)
{
    static const char *const papers[] = {"a4", "letter", NULL};
    static const char *const signs[] = {"point", "comma", NULL};
    static const char *const whens[] = {"auto", "always", "never", NULL};
    enum status status;
    int chosen = 0;
    switch (option) {
    case OPT_JSON: o->json = true; break;
    case OPT_SHEET: o->sheet = value; break;
    case OPT_PAPER:
        status = value_one_of("paper", value, papers, &chosen, message);
        o->publishing.paper = chosen == 1 ? PAPER_LETTER : PAPER_A4;
        return status;
    case OPT_DECIMAL:
        status = value_one_of("decimal", value, signs, &chosen, message);
        o->publishing.comma = chosen == 1;
        return status;
    case OPT_LEAVE_OUT: return publishing_leave_out(&o->publishing, value, message);
    case OPT_PAGE: o->page = value; break;
    case OPT_FIGURE:
        if (o->figure_count == OUTPUT_FIGURES)
            return status_fail(message, STATUS_USAGE, "more than %d figures", OUTPUT_FIGURES);
        o->figures[o->figure_count++] = value;
        break;
    case OPT_EXPLAIN: o->explain = value; break;
    case OPT_REPLY: o->reply = value; break;
    case OPT_MISSING: o->missing = true; break;
    case OPT_COLUMNS: o->columns = true; break;
    case OPT_COLOUR: return value_one_of("colour", value, whens, &o->colour, message);
    default: break;
    }
    return STATUS_OK;
}

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD: return take_log(a, value, message);
    case OPT_LABEL: a->request.label = value; break;
    case OPT_RIG: a->request.rig = value; break;
    case OPT_PLAN: a->request.plan = value; break;
    case OPT_COLUMN: return value_column(value, a->wishes, &a->request.log_options, message);
    case OPT_PERIOD:
        return value_quantity("period", value, QUANTITY_TIME, "1s", &a->request.log_options.period_s, message);
    case OPT_CURRENT: return take_sign(a, value, message);
    case OPT_LOAD: return take_law(a, value, message);
    case OPT_CUT_OFF: return take_cut_off(a, value, message);
    case OPT_DECIDE: return take_decide(a, value, message);
    case OPT_QUIET: a->quiet = true; break;
    case OPT_SAMPLE: a->sample = value; break;
    case OPT_OPENED: a->request.opened = value; break;
    case OPT_KEEP: a->keep = true; break;
    default: return take_output(&a->outputs, option, value, message);
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = assess_options};
    const char *value = NULL;
    for (int k; (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        enum status status = take(a, k, value, message);
        if (status != STATUS_OK)
            return status;
    }
    a->request.logs = a->logs;
    a->request.log_options.wishes = a->wishes;
    if (a->sample != NULL && a->request.log_count == 1) {
        enum status status = book_runs_of(a->logs[0], a->sample, &a->asked, message);
        if (status == STATUS_OK)
            sample_asked_put(&a->asked, &a->request);
        return status;
    }
    if (a->sample != NULL) {
        status_fail(message, STATUS_USAGE, "--sample takes one book in place of logs");
        return status_remedy(message, "as in `rundown assess workshop.book --sample \"Hut pack 3\"`");
    }
    if (a->request.log_count > 0)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "no log given");
    return status_remedy(message, "name a file: `rundown assess discharge.csv`, or see `rundown assess --help`");
}

/* What is chosen of a sample's pictures stands on its sheet and page. */
static enum status take_pictures(struct arguments *a, struct chosen_pictures *chosen, struct message *message)
{
    struct book *book = NULL;
    if (a->sample == NULL || (a->outputs.sheet == NULL && a->outputs.page == NULL) ||
        a->outputs.publishing.without[PUBLISH_PICTURES])
        return STATUS_OK;
    enum status status = desk_open(a->logs[0], BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = chosen_pictures_read(book, a->asked.sample.id, NULL, chosen, message);
    book_close(book);
    if (status == STATUS_OK)
        chosen_pictures_put(chosen, &a->outputs.publishing);
    return status;
}

static enum status assess_all(struct arguments *a, struct message *message)
{
    struct progress progress = {"reading", -1};
    a->request.log_options.progress = progress_function(a->quiet);
    a->request.log_options.context = &progress;
    a->outputs.quiet = a->quiet;
    struct assessment assessment;
    enum status status = assess(&a->request, &assessment, message);
    a->request.log_options.context = NULL;
    if (status != STATUS_OK)
        return status;
    struct chosen_pictures chosen = {0};
    status = take_pictures(a, &chosen, message);
    if (status == STATUS_OK)
        status = outputs_write(&a->outputs, &assessment, message);
    chosen_pictures_free(&chosen);
    if (status == STATUS_OK && a->keep)
        status = book_runs_keep(&assessment, message);
    assessment_free(&assessment);
    return status;
}

int assess_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    enum status status = parse(argc, argv, &a, &message);
    if (status == STATUS_OK)
        status = assess_all(&a, &message);
    sample_asked_free(&a.asked);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
