#include "check.h"

#include "cli/options.h"

static const struct option_spec options[] = {
    {"label", "FILE", "the claims"},
    {"json", NULL, "as JSON,\nall of it"},
    {NULL, NULL, NULL},
};

static struct option_walk walk_of(char **argv, int argc)
{
    return (struct option_walk){.argc = argc, .argv = argv, .options = options};
}

#define WALK(...)                                                    \
    char *argv[] = {__VA_ARGS__};                                    \
    struct option_walk walk = walk_of(argv, (int)(sizeof argv / sizeof *argv)); \
    struct message message = {0};                                    \
    const char *value = NULL

TEST(words_options_and_values_in_any_order)
{
    char a[] = "x.csv", b[] = "--label=a=b", c[] = "--json", d[] = "--label", e[] = "y.label", f[] = "-";
    WALK(a, b, c, d, e, f);
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD);
    CHECK_TEXT(value, "x.csv");
    CHECK(option_next(&walk, &value, &message) == 0);
    CHECK_TEXT(value, "a=b");
    CHECK(option_next(&walk, &value, &message) == 1);
    CHECK(option_next(&walk, &value, &message) == 0);
    CHECK_TEXT(value, "y.label");
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD); /* standard input */
    CHECK_TEXT(value, "-");
    CHECK(option_next(&walk, &value, &message) == OPTION_END);
    CHECK(option_next(&walk, &value, &message) == OPTION_END);
}

TEST(a_number_below_zero_is_a_word)
{
    char a[] = "-20°C", b[] = "-json", c[] = "-0.5";
    WALK(a, b, c);
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD);
    CHECK_TEXT(value, "-20°C");
    CHECK(option_next(&walk, &value, &message) == 1);
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD);
    CHECK_TEXT(value, "-0.5");
}

TEST(two_dashes_end_the_options)
{
    char a[] = "--", b[] = "--json", c[] = "--";
    WALK(a, b, c);
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD);
    CHECK_TEXT(value, "--json");
    CHECK(option_next(&walk, &value, &message) == OPTION_WORD);
    CHECK_TEXT(value, "--");
    CHECK(option_next(&walk, &value, &message) == OPTION_END);
}

static void refuses(char *first, char *second, const char *what, const char *remedy)
{
    char *argv[] = {first, second};
    struct option_walk walk = walk_of(argv, second != NULL ? 2 : 1);
    struct message message = {0};
    const char *value = NULL;
    CHECK(option_next(&walk, &value, &message) == OPTION_FAULT);
    CHECK(message.status == STATUS_USAGE);
    CHECK(strstr(message.what, what) != NULL);
    CHECK(strstr(message.remedy, remedy) != NULL);
}

TEST(faults_say_what_to_write)
{
    char a[] = "--lable", b[] = "--label", c[] = "--json=1", d[] = "--zzz", e[] = "-x", f[] = "--json", g[] = "--jso=3";
    refuses(a, NULL, "no option --lable", "--label");
    refuses(b, NULL, "needs a value", "--label FILE");
    refuses(b, f, "needs a value", "--label FILE");
    refuses(c, NULL, "takes no value", "`--json`");
    refuses(d, NULL, "no option --zzz", "--help");
    refuses(e, NULL, "no option --x", "--help");
    refuses(g, NULL, "no option --jso", "--json");
}

TEST(help_follows_from_the_table)
{
    const struct command command = {"weigh", "PACK", "puts it on the scale", "Weighs a pack.", options, NULL};
    struct text text = TEXT_EMPTY;
    options_help(&command, &text);
    CHECK_TEXT(text_string(&text), "usage: rundown weigh PACK\n\nWeighs a pack.\n\nOptions:\n"
                                   "  --label FILE             the claims\n"
                                   "  --json                   as JSON,\n                           all of it\n");
    text_free(&text);
}

TEST(every_command_is_whole)
{
    size_t count = 0;
    for (const struct command *c = commands; c->name != NULL; c++, count++) {
        CHECK(c->usage[0] != '\0' && c->summary[0] != '\0' && c->about[0] != '\0' && c->run != NULL);
        for (const struct option_spec *o = c->options; o->name != NULL; o++)
            CHECK(o->help != NULL && o->help[0] != '\0');
    }
    CHECK(count >= 3);
}
