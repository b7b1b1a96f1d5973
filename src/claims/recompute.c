#include "claims/recompute.h"

#include "base/number.h"

/* As one word of a shell, quoted where it has to be. */
static void add_word(struct text *command, const char *word)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._-+=:,%@";
    if (word[0] != '\0' && strspn(word, plain) == strlen(word)) {
        text_add(command, word);
        return;
    }
    text_add(command, "'");
    for (const char *p = word; *p != '\0'; p++)
        text_add_bytes(command, *p == '\'' ? "'\\''" : p, *p == '\'' ? 4 : 1);
    text_add(command, "'");
}

static void add_file(struct text *command, const char *path)
{
    const char *slash = strrchr(path, '/');
    text_add(command, " ");
    add_word(command, slash != NULL ? slash + 1 : path);
}

static void add_wishes(const struct log_options *options, struct text *command)
{
    for (size_t k = 0; k < options->wish_count; k++) {
        const struct column_wish *wish = &options->wishes[k];
        struct text word = TEXT_EMPTY;
        text_addf(&word, "%s=%s%s%s", role_option(wish->role, wish->channel), wish->name,
                  wish->detail[0] != '\0' ? ":" : "", wish->detail);
        text_add(command, " --column ");
        add_word(command, text_string(&word));
        text_free(&word);
    }
    if (options->period_s > 0)
        text_addf(command, " --period %.12gs", options->period_s);
}

void recompute_command(const struct assess_request *request, struct text *command)
{
    static const char *const laws[] = {"", "constant-power", "constant-current", "resistance"};
    if (request->log_count == 0)
        return; /* nothing was read */
    text_add(command, "rundown assess");
    if (request->sample != NULL) {
        add_file(command, request->book);
        text_add(command, " --sample ");
        add_word(command, request->sample);
    }
    for (size_t k = 0; k < request->log_count && request->sample == NULL; k++)
        add_file(command, request->logs[k]);
    if (request->label != NULL)
        text_add(command, " --label"), add_file(command, request->label);
    if (request->opened != NULL && request->opened_text.p == NULL)
        text_add(command, " --opened"), add_file(command, request->opened);
    if (request->rig != NULL)
        text_add(command, " --rig"), add_file(command, request->rig);
    if (request->plan != NULL)
        text_add(command, " --plan"), add_file(command, request->plan);
    add_wishes(&request->log_options, command);
    if (request->sign != 0)
        text_addf(command, " --current %s", request->sign > 0 ? "discharge-positive" : "charge-positive");
    if (request->law != LOAD_UNKNOWN)
        text_addf(command, " --load %s", laws[request->law]);
    for (int k = 0; k < request->cut_off_count; k++)
        text_addf(command, " --cut-off %.12g", request->cut_offs[k]);
    if (request->decide > 0)
        text_addf(command, " --decide %.12g", request->decide);
}
