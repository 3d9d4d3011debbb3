/* The emulated board behind a pseudo terminal, at the pace of real time:
 *
 *   board --hex FILE [--boot FILE ADDRESS] [--seed N] [--level CHANNEL MS:MV,MS:MV,...]
 *         [--radio FRAME_US PHASE_US DELAY_US LOW_US HIGH_US CONTROL] [--flips FIRST_MS MEAN_MS COUNT]
 *         [--wire DELAY_US]
 *
 * The first line printed is the terminal's name. Whoever opens it pulls the reset line, as on boards whose bridge does
 * so. Lines on the standard input: "reset"; "edge PIN LEVEL" now; "truth FILE" writes every move of the control and
 * every edge of the answers, "flash FILE" the program memory (each is answered with "done"); "quit", or its end. */
#define _GNU_SOURCE
#include "board.h"

#include <asm/termbits.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#define SLICE 8000  /* half a millisecond */

struct terminal {
    struct board *board;
    int far;
    int openings;  /* says so when somebody opens the near end */
};

static uint64_t now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (uint64_t)now.tv_sec * 1000000000u + (uint64_t)now.tv_nsec;
}

static void fail(const char *why, const char *what)
{
    fprintf(stderr, "%s: %s\n", why, what);
    exit(1);
}

/* Until somebody has opened and closed it, a terminal does not say that nobody holds it. */
static int open_terminal(struct terminal *terminal)
{
    int far = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    if (far < 0 || grantpt(far) || unlockpt(far))
        fail("no pseudo terminal", strerror(errno));
    int near = open(ptsname(far), O_RDWR | O_NOCTTY);
    struct termios2 raw;
    ioctl(near, TCGETS2, &raw);
    raw.c_iflag = raw.c_oflag = raw.c_lflag = 0;
    raw.c_cflag = CS8 | CREAD | CLOCAL | B115200;
    ioctl(near, TCSETS2, &raw);
    close(near);
    terminal->openings = inotify_init1(IN_NONBLOCK);
    if (terminal->openings < 0 || inotify_add_watch(terminal->openings, ptsname(far), IN_OPEN) < 0)
        fail("cannot watch", ptsname(far));
    printf("%s\n", ptsname(far));
    fflush(stdout);
    return far;
}

/* Return whether somebody holds the near end. Opening it resets the board, even right after it was closed. */
static int held(struct terminal *terminal)
{
    char events[4096];
    if (read(terminal->openings, events, sizeof events) > 0) {
        board_forget(terminal->board, 's');
        board_reset(terminal->board);
    }
    struct pollfd line = {terminal->far, POLLIN, 0};
    poll(&line, 1, 0);
    return !(line.revents & POLLHUP);
}

static void pass_bytes(struct terminal *terminal)
{
    struct termios2 set;
    if (!ioctl(terminal->far, TCGETS2, &set))
        board_host_baud(terminal->board, set.c_ospeed);
    uint8_t bytes[512];
    ssize_t count = read(terminal->far, bytes, sizeof bytes);
    if (count > 0)
        board_hear(terminal->board, bytes, (size_t)count);
    const struct list *sent = board_list(terminal->board, 's');
    const struct sent *from = sent->items;
    size_t done = 0;
    while (done < sent->count) {
        size_t size = 0;
        while (size < sizeof bytes && done + size < sent->count) {
            bytes[size] = (uint8_t)from[done + size].byte;
            size++;
        }
        if (write(terminal->far, bytes, size) < 0)
            break;  /* nobody reads: a serial line drops it too */
        done += size;
    }
    board_forget(terminal->board, 's');
}

static void write_truth(const struct board *board, const char *name)
{
    FILE *file = fopen(name, "w");
    if (!file)
        fail("cannot write", name);
    for (const char *which = "ma"; *which; which++) {
        const struct list *list = board_list(board, *which);
        const struct edge *edges = list->items;
        for (size_t n = 0; n < list->count; n++)
            fprintf(file, "%c %llu %u %u\n", *which, (unsigned long long)edges[n].cycle, edges[n].pin, edges[n].level);
    }
    fclose(file);
}

static void write_flash(struct board *board, const char *name)
{
    FILE *file = fopen(name, "wb");
    if (!file || fwrite(board_flash(board), 1, 0x8000, file) != 0x8000)
        fail("cannot write", name);
    fclose(file);
}

/* Return 0 when it is time to leave. */
static int obey(struct board *board, char *line)
{
    char name[1024];
    unsigned pin, level;
    line[strcspn(line, "\n")] = 0;
    if (!strcmp(line, "quit"))
        return 0;
    if (!strcmp(line, "reset")) {
        board_reset(board);
    } else if (sscanf(line, "edge %u %u", &pin, &level) == 2 && pin < 14) {
        struct edge edge = {board_cycle(board) + 1, pin, level};
        board_plan(board, &edge, 1);
    } else if (sscanf(line, "truth %1023[^\n]", name) == 1) {
        write_truth(board, name);
    } else if (sscanf(line, "flash %1023[^\n]", name) == 1) {
        write_flash(board, name);
    } else {
        fail("not understood", line);
    }
    printf("done\n");
    fflush(stdout);
    return 1;
}

static int obey_input(struct board *board)
{
    static char input[2048];
    static size_t size;
    struct pollfd asked = {0, POLLIN, 0};
    if (poll(&asked, 1, 0) <= 0)
        return 1;
    ssize_t count = read(0, input + size, sizeof input - 1 - size);
    if (count <= 0)
        return 0;
    size += (size_t)count;
    input[size] = 0;
    for (char *end; (end = strchr(input, '\n'));) {
        *end = 0;
        if (!obey(board, input))
            return 0;
        size -= (size_t)(end + 1 - input);
        memmove(input, end + 1, size + 1);
    }
    return 1;
}

static void run(struct terminal *terminal)
{
    struct board *board = terminal->board;
    uint64_t began = now_ns(), first = board_cycle(board), cycle = first;
    while (obey_input(board)) {
        if (held(terminal))
            pass_bytes(terminal);
        else
            board_forget(board, 's');
        cycle += SLICE;
        if (!board_run(board, cycle))
            fail("the program", "crashed");
        uint64_t due = began + (cycle - first) * 125 / 2, now = now_ns();
        if (due > now) {
            struct timespec nap = {0, (long)(due - now)};
            nanosleep(&nap, 0);
        }
    }
}

/* Flips of D2, at times that fall evenly over any frame: the golden ratio's multiples over the mean. */
static void plan_flips(struct board *board, double first_ms, double mean_ms, int count)
{
    double at = first_ms, part = 0;
    for (int n = 0; n < count; n++) {
        struct edge edge = {(uint64_t)(at * 16000), 2, !(n & 1)};
        board_plan(board, &edge, 1);
        part += 0.6180339887498949;
        part -= (int)part;
        at += mean_ms * (0.75 + part / 2);
    }
}

static uint64_t cycles(const char *microseconds)
{
    return (uint64_t)(atof(microseconds) * 16);
}

/* From the first point on; the board's own time. */
static void set_level(struct board *board, uint32_t channel, const char *text)
{
    static struct point points[4096];
    size_t count = 0;
    double ms, millivolts;
    int size;
    while (count < 4096 && sscanf(text, "%lf:%lf%n", &ms, &millivolts, &size) == 2) {
        points[count++] = (struct point){(uint64_t)(ms * 16000), (uint32_t)(millivolts * 1000), 0};
        text += size;
        if (*text == ',')
            text++;
    }
    if (*text)
        fail("not understood", text);
    board_level(board, channel, points, count);
}

int main(int count, char **words)
{
    uint32_t seed = 1;
    for (int n = 1; n + 1 < count; n++)
        if (!strcmp(words[n], "--seed"))
            seed = (uint32_t)strtoul(words[n + 1], 0, 10);
    struct terminal terminal = {board_new(seed, ALL_WORKAROUNDS), -1, -1};
    struct board *board = terminal.board;
    if (!board)
        fail("no chip", "atmega328p");
    for (int n = 1; n < count; n++) {
        char **after = words + n + 1;
        int left = count - n - 1;
        if (!strcmp(words[n], "--seed") && left >= 1) {
            n += 1;
        } else if (!strcmp(words[n], "--hex") && left >= 1) {
            if (!board_load(board, after[0]))
                fail("cannot read", after[0]);
            n += 1;
        } else if (!strcmp(words[n], "--boot") && left >= 2) {
            if (!board_load(board, after[0]))
                fail("cannot read", after[0]);
            board_boot_at(board, (uint32_t)strtoul(after[1], 0, 0));
            n += 2;
        } else if (!strcmp(words[n], "--level") && left >= 2) {
            set_level(board, (uint32_t)atoi(after[0]), after[1]);
            n += 2;
        } else if (!strcmp(words[n], "--radio") && left >= 6) {
            board_radio(board, cycles(after[0]), cycles(after[1]), cycles(after[2]), (uint32_t)cycles(after[3]),
                        (uint32_t)cycles(after[4]), (uint32_t)atoi(after[5]));
            n += 6;
        } else if (!strcmp(words[n], "--wire") && left >= 1) {
            board_wire(board, cycles(after[0]));
            n += 1;
        } else if (!strcmp(words[n], "--flips") && left >= 3) {
            plan_flips(board, atof(after[0]), atof(after[1]), atoi(after[2]));
            n += 3;
        } else {
            fail("not understood", words[n]);
        }
    }
    terminal.far = open_terminal(&terminal);
    run(&terminal);
    board_free(board);
    return 0;
}
