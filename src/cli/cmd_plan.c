#include "cli/commands.h"

#include "base/output.h"
#include "cli/planning.h"
#include "report/json.h"
#include "report/plan_text.h"

const char plan_about[] =
    "Before anything is switched on: says for each claim of the label whether this rig and these loads can decide it,\n"
    "which one change would settle it most cheaply, and prints a protocol that somebody else can repeat: order, loads,\n"
    "moment and length of the burst, expected times, what to write down, cautions.\n\n"
    "  rundown plan --label s14.label\n"
    "  rundown plan --label s14.label --rig bench.rig --loads bench.loads --start 9:30\n"
    "  rundown plan --label s14.label --loads bench.loads --save s14.plan\n"
    "  rundown plan workshop.book --sample 'Hut pack 3' --start 9:30       by the papers that the book holds\n"
    "  rundown assess discharge.csv --label s14.label --plan s14.plan     names where the run departed from it";

enum { OPT_SAMPLE, OPT_LABEL, OPT_RIG, OPT_LOADS, OPT_START, OPT_SAVE, OPT_JSON };

const struct option_spec plan_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "of the book: its label, and the rig and loads of its last plan or last put in"},
    [OPT_LABEL] = {"label", "FILE", "the claims (docs/label.md)"},
    [OPT_RIG] = {"rig", "FILE", "the meters' accuracy (docs/rig.md); without it wide defaults stand"},
    [OPT_LOADS] = {"loads", "FILE", "inverter and loads at hand (docs/loads.md)"},
    [OPT_START] = {"start", "H:MM", "clock time at which the base load goes on"},
    [OPT_SAVE] = {"save", "FILE", "write the plan, for `assess --plan`"},
    [OPT_JSON] = {"json", NULL, "print the plan as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    struct planning_papers papers;
    const char *save;
    bool start_chosen;
    double start_clock_s;
    bool json;
};

static enum status take_start(const char *value, struct arguments *a, struct message *message)
{
    a->start_chosen = plan_clock_read(span_of(value), &a->start_clock_s);
    if (a->start_chosen)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "--start cannot use '%s'", value);
    return status_remedy(message, "give a time of day such as 9:30");
}

static enum status take_word(const char *word, struct arguments *a, struct message *message)
{
    if (a->papers.book == NULL) {
        a->papers.book = word;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "plan takes no second file '%s' without an option", word);
    return status_remedy(message, "see `rundown plan --help`");
}

static enum status judge(const struct arguments *a, struct message *message)
{
    if (a->papers.book != NULL && a->papers.sample != NULL)
        return STATUS_OK;
    if (a->papers.book != NULL) {
        status_fail(message, STATUS_USAGE, "if '%s' is a book: which sample is the plan for?", a->papers.book);
        return status_remedy(message, "write `rundown plan BOOK --sample NAME`, or name the claims with --label FILE");
    }
    if (a->papers.sample != NULL) {
        status_fail(message, STATUS_USAGE, "in which book is '%s'?", a->papers.sample);
        return status_remedy(message, "write `rundown plan BOOK --sample NAME`");
    }
    if (a->papers.label != NULL)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "a plan needs the claims");
    return status_remedy(message, "give them with --label FILE (docs/label.md), or a sample of a book with BOOK --sample NAME");
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = plan_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: return message->status;
        case OPTION_WORD: status = take_word(value, a, message); break;
        case OPT_SAMPLE: a->papers.sample = value; break;
        case OPT_LABEL: a->papers.label = value; break;
        case OPT_RIG: a->papers.rig = value; break;
        case OPT_LOADS: a->papers.loads = value; break;
        case OPT_START: status = take_start(value, a, message); break;
        case OPT_SAVE: a->save = value; break;
        default: a->json = true;
        }
    }
    return status == STATUS_OK ? judge(a, message) : status;
}

static enum status write_plan(const struct arguments *a, const struct plan *plan, struct message *message)
{
    struct text text = TEXT_EMPTY, file = TEXT_EMPTY;
    if (a->json)
        json_plan(plan, &text);
    else
        plan_words(plan, 100, &text);
    fputs(text_string(&text), stdout);
    enum status status = STATUS_OK;
    if (a->save != NULL) {
        plan_save(plan, &file);
        status = output_save(a->save, &file, message);
    }
    text_free(&text);
    text_free(&file);
    return status;
}

int plan_run(int argc, char **argv)
{
    struct arguments a = {.start_clock_s = NAN};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct planned planned = planned_empty();
    planned.start_clock_s = a.start_clock_s;
    struct plan_wish wish = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE, .start_chosen = a.start_chosen,
                             .start_clock_s = a.start_clock_s};
    enum status status = planning_take(&a.papers, &wish, &planned, &message);
    if (status == STATUS_OK)
        status = planned_make(&planned, &message);
    if (status == STATUS_OK) {
        planning_warn(&planned);
        status = write_plan(&a, &planned.plan, &message);
    }
    planned_free(&planned);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
