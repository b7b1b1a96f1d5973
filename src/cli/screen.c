#include "cli/screen.h"

#include "base/memory.h"
#include "cli/typing.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

static const double draw_s = 0.25, line_s = 5, json_s = 1; /* of the machine */

enum { LEAST_WIDTH = 60, MOST_WIDTH = 100 };

struct screen {
    struct screen_form form;
    bool terminal; /* both ends: keys come singly and the block is drawn in place */
    bool input_over;
    struct termios before;
    struct typing typing;
    unsigned char keys[512];
    size_t key_count, key_at;
    int drawn;              /* lines of the block that stand on the screen, above the cursor's line */
    double due_s, opened_s; /* of the machine: when next to draw, when it began */
    struct text block;
};

static double machine_s(void)
{
    struct clock machine = clock_machine();
    return (double)machine.now_ns(machine.context) * 1e-9;
}

static void put(const char *words)
{
    if (fputs(words, stdout) == EOF)
        clearerr(stdout); /* a reader that has gone is no reason to stop */
}

/* Keys one by one and unseen; Ctrl-Z would stop the recording, so it does nothing. */
static bool take_terminal(struct screen *screen)
{
    if (isatty(STDIN_FILENO) != 1 || isatty(STDOUT_FILENO) != 1 ||
        tcgetattr(STDIN_FILENO, &screen->before) != 0)
        return false;
    struct termios ours = screen->before;
    ours.c_lflag &= ~(tcflag_t)(ICANON | ECHO);
    ours.c_cc[VSUSP] = ours.c_cc[VQUIT] = _POSIX_VDISABLE;
    ours.c_cc[VMIN] = 0;
    ours.c_cc[VTIME] = 0;
    return tcsetattr(STDIN_FILENO, TCSADRAIN, &ours) == 0;
}

struct screen *screen_open(const struct screen_form *form)
{
    struct screen *screen = memory_get(sizeof *screen);
    screen->form = *form;
    screen->opened_s = machine_s();
    screen->input_over = form->no_input;
    screen->terminal = !form->json && !form->quiet && !form->no_input && take_terminal(screen);
    return screen;
}

/* The block goes; the cursor stands where it began. */
static void wipe(struct screen *screen)
{
    if (screen->drawn > 0)
        printf("\033[%dA", screen->drawn);
    put("\r\033[J");
    screen->drawn = 0;
}

static int columns_now(void)
{
    struct winsize size;
    return ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : LEAST_WIDTH;
}

/* Each line cut to the screen: one that ran over would stand where `wipe` does not reach. */
static void put_cut(const char *words, int columns)
{
    int at = 0;
    for (const char *p = words; *p != '\0'; p++) {
        bool first = ((unsigned char)*p & 0xC0) != 0x80;
        at = *p == '\n' ? 0 : at + first;
        if (at < columns)
            putchar(*p);
    }
}

static void draw(struct screen *screen)
{
    int columns = columns_now();
    wipe(screen);
    put_cut(text_string(&screen->block), columns);
    for (const char *p = text_string(&screen->block); *p != '\0'; p++)
        screen->drawn += *p == '\n';
    put("> ");
    put_cut(screen->typing.line, columns - 2);
    fflush(stdout);
}

void screen_close(struct screen *screen)
{
    if (screen == NULL)
        return;
    if (screen->terminal) {
        put("\n");
        fflush(stdout);
        tcsetattr(STDIN_FILENO, TCSADRAIN, &screen->before);
    }
    text_free(&screen->block);
    free(screen);
}

static void say(struct screen *screen, const struct text *words)
{
    if (screen->terminal)
        wipe(screen);
    put(text_string(words));
    if (screen->terminal)
        draw(screen);
    fflush(stdout);
}

void screen_call(struct screen *screen, const struct call *call)
{
    struct text words = TEXT_EMPTY;
    if (screen->form.json)
        bench_call_json(call, &words);
    else
        bench_call_line(call, &words);
    if (screen->terminal && call->urgent)
        text_add(&words, "\a");
    say(screen, &words);
    text_free(&words);
}

void screen_say(struct screen *screen, const char *words)
{
    struct text line = TEXT_EMPTY;
    text_addf(&line, "%s\n", words);
    if (screen->form.json) {
        fputs(text_string(&line), stderr);
        fflush(stderr);
    } else {
        say(screen, &line);
    }
    text_free(&line);
}

void screen_show(struct screen *screen, const struct bench_view *view)
{
    double now_s = machine_s();
    bool too_early = view->readings == 0 && !screen->terminal && now_s < screen->opened_s + line_s;
    if (now_s < screen->due_s || screen->form.quiet || too_early)
        return;
    screen->due_s = now_s + (screen->terminal ? draw_s : screen->form.json ? json_s : line_s);
    screen->block.length = 0;
    if (screen->terminal) {
        int columns = columns_now();
        int width = columns <= LEAST_WIDTH ? LEAST_WIDTH : columns > MOST_WIDTH ? MOST_WIDTH : columns - 1;
        bench_block(&screen->form.title, view, width, &screen->block);
        text_add(&screen->block,
                 "Enter: a mark   a line such as 12.9 V 24.8 A: a reading by eye   Ctrl-C: the end\n");
        draw(screen);
        return;
    }
    if (screen->form.json)
        bench_json(view, &screen->block);
    else
        bench_line(view, &screen->block);
    put(text_string(&screen->block));
    fflush(stdout);
}

static bool read_keys(struct screen *screen)
{
    if (screen->key_at < screen->key_count)
        return true;
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    screen->key_at = screen->key_count = 0;
    if (screen->input_over || poll(&input, 1, 0) <= 0)
        return false;
    ssize_t got = read(STDIN_FILENO, screen->keys, sizeof screen->keys);
    if (got > 0)
        screen->key_count = (size_t)got;
    else
        screen->input_over = true;
    return got > 0;
}

bool screen_typed(struct screen *screen, char *ret_line, size_t size, int64_t *ret_at_ns)
{
    const struct clock *clock = screen->form.clock;
    bool typed = false;
    while (read_keys(screen)) {
        int64_t now = clock->now_ns(clock->context);
        typed = true;
        if (!typing_key(&screen->typing, screen->keys[screen->key_at++], now))
            continue;
        snprintf(ret_line, size, "%s", screen->typing.line);
        *ret_at_ns = screen->typing.began_ns;
        typing_clear(&screen->typing);
        return true;
    }
    if (typed && screen->terminal)
        draw(screen);
    return false;
}

void screen_give_back(struct screen *screen, const char *line, int64_t at_ns)
{
    if (!screen->terminal)
        return;
    snprintf(screen->typing.line, sizeof screen->typing.line, "%s", line);
    screen->typing.length = strlen(screen->typing.line);
    screen->typing.began_ns = at_ns;
}
