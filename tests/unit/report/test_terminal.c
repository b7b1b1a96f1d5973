#include "made.h"

#include "report/terminal.h"

static const char label[] = "[sample]\nname = Sample 33\n[claims]\ncapacity = 60 Ah at 0.2 It, 25 °C, down to 10.4 V\nenergy = 768 Wh\n"
                            "continuous current = 50 A\nmass = 7 kg\ncharge current = 25 A\ncells = 4\n";

static void make(struct made *made)
{
    made_start(made, label);
    made_decide(made, 0, VERDICT_MET, made_measure(61.2, 0.4, 0.05), "61.20 ± 0.39 Ah", "down to 10.4 V, as tested", "");
    made->decisions[0].probability = 0.99987;
    made_decide(made, 1, VERDICT_TOO_CLOSE, made_measure(769, 8, 1), "769 ± 8 Wh", "until the BMS opened", "a better shunt");
    made->decisions[1].probability = 0.55;
    made_decide(made, 2, VERDICT_NOT_EXERCISED, made_measure(41, 0.3, 0.1), "41 A for 40.0 s", "reached 82 % of the claim",
                "a load of 50 A or more");
    made->decisions[2].probability = 0.0; /* of no use where the condition was not reached */
    made_decide(made, 3, VERDICT_NOT_MET, made_measure(7.31, 0.02, 0.001), "7.31 kg", "0.31 kg over, scale", "");
    made->decisions[3].probability = 0.00001;
}

static size_t place(const struct text *text, const char *part)
{
    const char *found = strstr(text_string(text), part);
    if (found == NULL)
        CHECK_TEXT(text_string(text), part);
    return found != NULL ? (size_t)(found - text_string(text)) : 0;
}

TEST(claims_stand_under_their_verdict)
{
    struct made made;
    make(&made);
    struct text text = TEXT_EMPTY;
    terminal_assessment(&made.assessment, &(struct terminal_form){.width = 100}, &text);
    CHECK(strncmp(text_string(&text), "Sample 33: 1 not met, 1 met, 1 too close to call, 1 not exercised, 2 not tested\n", 60) == 0);
    CHECK(place(&text, "\nnot met\n  Mass") < place(&text, "\nmet\n  Capacity"));
    CHECK(place(&text, "\nmet\n") < place(&text, "\ntoo close to call\n  Energy"));
    CHECK(place(&text, "\ntoo close") < place(&text, "\nnot exercised\n  Continuous current"));
    CHECK(place(&text, "\nnot tested\n  charge current, cells in series\n") > 0);
    has(&text, "p > 0.999");
    has(&text, "p 0.550");
    has(&text, "p < 0.001");
    has(&text, "reached 82 % of the claim. To decide it: a load of 50 A or more");
    CHECK(strstr(text_string(&text), "down to 10.4 V, as tested") == NULL); /* what is met needs no reason */
    CHECK(strstr(text_string(&text), "p 0.000") == NULL);
    text_free(&text);
    made_end(&made);
}

TEST(colour_only_where_it_is_wanted)
{
    struct made made;
    make(&made);
    struct text plain = TEXT_EMPTY, coloured = TEXT_EMPTY, stripped = TEXT_EMPTY;
    terminal_assessment(&made.assessment, &(struct terminal_form){.width = 90}, &plain);
    terminal_assessment(&made.assessment, &(struct terminal_form){.width = 90, .colour = true}, &coloured);
    CHECK(strchr(text_string(&plain), '\033') == NULL);
    has(&coloured, "\033[1;35mnot met\033[0m");
    for (const char *p = text_string(&coloured); *p != '\0'; p++) {
        if (*p == '\033')
            p += strcspn(p, "m");
        else
            text_add_bytes(&stripped, p, 1);
    }
    CHECK_TEXT(text_string(&stripped), text_string(&plain));
    text_free(&plain);
    text_free(&coloured);
    text_free(&stripped);
    made_end(&made);
}

/* The whole of the demo, which has everything. */
TEST(keeps_to_the_width_of_the_terminal)
{
    static const char *const logs[] = {"demo/hut-pack.log.csv"};
    struct assess_request request = {.logs = logs, .log_count = 1, .label = "demo/hut-pack.label", .rig = "demo/hut-pack.rig"};
    struct assessment a;
    struct message message = {0};
    CHECK(assess(&request, &a, &message) == STATUS_OK);
    static const int widths[] = {80, 100, 140};
    for (int k = 0; k < 3; k++) {
        struct text text = TEXT_EMPTY;
        terminal_assessment(&a, &(struct terminal_form){.width = widths[k]}, &text);
        CHECK(longest_line(text_string(&text)) <= (size_t)widths[k]);
        has(&text, "INVENTED DATA");
        has(&text, "\n  delivered ");
        has(&text, "\n  ended ");
        has(&text, "\n  resistance ");
        has(&text, "\n  burst ");
        has(&text, "(from 23.8 to 96.9 A)"); /* twice as well known as the step down after it */
        text_free(&text);
    }
    assessment_free(&a);
}

TEST(an_efficiency_is_shown_where_a_cycle_closed)
{
    struct assessment a = {.label = label_empty(), .rig = rig_default()};
    struct record record = {.path = "cycle.csv"};
    struct run run = {.kind = RUN_DISCHARGE, .ended = {.by = ENDED_LOAD}};
    record.findings = (struct findings){.has_test = true, .runs = &run, .run_count = 1};
    record.findings.efficiency_charge = measure_of(0.9957);
    record.findings.efficiency_energy = measure_of(0.9413);
    a.records = &record;
    a.record_count = 1;
    struct text text = TEXT_EMPTY;
    terminal_assessment(&a, &(struct terminal_form){.width = 100}, &text);
    has(&text, "\n  out / in ");
    has(&text, "94.1");
    text_free(&text);
}

TEST(without_claims_it_says_so)
{
    struct assessment a = {.label = label_empty(), .rig = rig_default()};
    struct text text = TEXT_EMPTY;
    notices_add(&a.notices, "rig", 0, "No rig file.");
    terminal_assessment(&a, &(struct terminal_form){.width = 100}, &text);
    has(&text, "--label FILE");
    has(&text, "Mind\n  • No rig file.\n");
    text_free(&text);
    notices_free(&a.notices);
}

TEST(columns_with_their_reasons_and_the_rows_left_out)
{
    struct record record = {.path = "x.csv", .direction = {.sign = 1, .why = "the log says so in words"}};
    struct column_choice columns[] = {{.number = 1, .header = "t", .role = COLUMN_TIME, .why = "header says time"},
                                      {.number = 2, .header = "note", .role = COLUMN_UNUSED},
                                      {.number = 3, .role = COLUMN_UNUSED}};
    record.log.columns = columns;
    record.log.column_count = 3;
    record.log.series.count = 12;
    record.log.bad_count = 2;
    record.log.bad[0] = (struct bad_row){7, 2, "1.2.3", "not a number"};
    record.log.bad[1] = (struct bad_row){9, 2, "--", "an overload mark"};
    struct assessment a = {.records = &record, .record_count = 1};
    struct text brief = TEXT_EMPTY, all = TEXT_EMPTY;
    terminal_columns(&a, false, &brief);
    terminal_columns(&a, true, &all);
    has(&brief, "x.csv: 12 readings, 2 rows left out\n  column 1 't': header says time\n  not used: 2 'note', 3\n");
    has(&brief, "line 7, '1.2.3': not a number");
    CHECK(strstr(text_string(&brief), "line 9") == NULL);
    has(&brief, "--columns");
    has(&all, "line 9, '--': an overload mark");
    text_free(&brief);
    text_free(&all);
}
