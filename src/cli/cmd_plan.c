#include "cli/commands.h"

#include "base/number.h"
#include "base/output.h"
#include "claims/plan.h"
#include "intake/rig_file.h"
#include "report/json.h"
#include "report/plan_text.h"

const char plan_about[] =
    "Before anything is switched on: says for each claim of the label whether this rig and these loads can decide it,\n"
    "which one change would settle it most cheaply, and prints a protocol that somebody else can repeat: order, loads,\n"
    "moment and length of the burst, expected times, what to write down, cautions.\n\n"
    "  rundown plan --label s14.label\n"
    "  rundown plan --label s14.label --rig bench.rig --loads bench.loads --start 9:30\n"
    "  rundown plan --label s14.label --loads bench.loads --save s14.plan\n"
    "  rundown assess discharge.csv --label s14.label --plan s14.plan     names where the run departed from it";

enum { OPT_LABEL, OPT_RIG, OPT_LOADS, OPT_START, OPT_SAVE, OPT_JSON };

const struct option_spec plan_options[] = {
    [OPT_LABEL] = {"label", "FILE", "the claims (docs/label.md)"},
    [OPT_RIG] = {"rig", "FILE", "the meters' accuracy (docs/rig.md); without it wide defaults stand"},
    [OPT_LOADS] = {"loads", "FILE", "inverter and loads at hand (docs/loads.md)"},
    [OPT_START] = {"start", "H:MM", "clock time at which the base load goes on"},
    [OPT_SAVE] = {"save", "FILE", "write the plan, for `assess --plan`"},
    [OPT_JSON] = {"json", NULL, "print the plan as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    const char *label, *rig, *loads, *save;
    double start_clock_s;
    bool json;
};

static enum status take_start(const char *value, double *ret_clock_s, struct message *message)
{
    double hours, minutes;
    const char *colon = strchr(value, ':');
    if (colon != NULL && number_is((struct span){value, (size_t)(colon - value)}, '.', &hours) && hours >= 0 &&
        hours < 24 && number_is(span_of(colon + 1), '.', &minutes) && minutes >= 0 && minutes < 60) {
        *ret_clock_s = hours * 3600 + minutes * 60;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--start cannot use '%s'", value);
    return status_remedy(message, "give a time of day such as 9:30");
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = plan_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: return message->status;
        case OPTION_WORD:
            status_fail(message, STATUS_USAGE, "plan takes no file '%s' without an option", value);
            return status_remedy(message, "see `rundown plan --help`");
        case OPT_LABEL: a->label = value; break;
        case OPT_RIG: a->rig = value; break;
        case OPT_LOADS: a->loads = value; break;
        case OPT_START: status = take_start(value, &a->start_clock_s, message); break;
        case OPT_SAVE: a->save = value; break;
        default: a->json = true;
        }
    }
    if (status != STATUS_OK || a->label != NULL)
        return status;
    status_fail(message, STATUS_USAGE, "a plan needs the claims");
    return status_remedy(message, "give them with --label FILE (docs/label.md)");
}

static enum status write_plan(const struct arguments *a, const struct plan *plan, struct message *message)
{
    struct text text = TEXT_EMPTY, file = TEXT_EMPTY;
    if (a->json)
        json_plan(plan, &text);
    else
        plan_words(plan, a->start_clock_s, 100, &text);
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

static enum status make(const struct arguments *a, struct label *label, struct loads *loads, struct message *message)
{
    struct rig rig = rig_default();
    struct notices notices = {0};
    enum status status = label_read(a->label, label, &notices, message);
    if (status == STATUS_OK && a->rig != NULL)
        status = rig_read(a->rig, &rig, &notices, message);
    if (status == STATUS_OK && a->loads != NULL)
        status = loads_read(a->loads, loads, message);
    if (status == STATUS_OK && !(label->rated_ah > 0)) {
        status_fail(message, STATUS_MALFORMED, "the label states no capacity, around which a test is planned");
        status_at(message, a->label, 0, 0);
        status = status_remedy(message, "add `capacity = 100 Ah` under [claims]");
    }
    if (status == STATUS_OK) {
        label_check(label, &notices);
        for (size_t k = 0; k < notices.count; k++)
            fprintf(stderr, "%s\n", notices.items[k].text);
        struct plan plan = plan_make(label, &rig, a->loads != NULL ? loads : NULL);
        status = write_plan(a, &plan, message);
        plan_free(&plan);
    }
    notices_free(&notices);
    return status;
}

int plan_run(int argc, char **argv)
{
    struct arguments a = {.start_clock_s = NAN};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct label label = label_empty();
    struct loads loads = {0};
    enum status status = make(&a, &label, &loads, &message);
    label_free(&label);
    loads_free(&loads);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
