#!/usr/bin/env python3
"""Writes the force-turns logs in this folder, as loggers of several makes and habits would have written them.

The mechanics here are a few plain formulas of their own (a spring with a soft toe, Coulomb friction with a static and a
kinetic level, a grip that falls with the engaged length), so that the judge is not tested against the code it judges with.
Run it by hand from any folder; the logs are kept, the tests only read them. No packages needed.
"""
import math
import os
import random

HERE = os.path.dirname(os.path.abspath(__file__))
DT = 0.0005


class Press:
    """Screw in, force out. Lengths in mm, forces in N."""

    def __init__(self, k=20000.0, pitch=1.25, slack=0.4, toe=0.02, release=700.0, ratio=1.25, seat=7.0, knee=0.0,
                 knee_k=8000.0, after=None, slip_at=0.0, slip_mm=0.3, work="out", shoulder_k=120000.0, overshoot=0.4):
        self.__dict__.update(locals())
        self.u = 0.0      # screw travel
        self.s = 0.0      # the ring's way
        self.sliding = False
        self.lost = 0.0   # stretch lost when the drift slipped
        self.broke = False
        self.static = 1.0

    def spring(self, x):
        if x <= 0:
            return 0.0
        if x < self.toe:
            return self.k * x * x / (2 * self.toe)
        force = self.k * (x - self.toe / 2)
        if self.knee and not self.broke and force > self.knee:
            x_knee = self.knee / self.k + self.toe / 2
            soft = 1 / (1 / self.k + 1 / self.knee_k)
            return self.knee + soft * (x - x_knee)
        return force

    def stretch_for(self, force):
        if force <= 0:
            return 0.0
        if force < self.k * self.toe / 2:
            return math.sqrt(2 * self.toe * force / self.k)
        return force / self.k + self.toe / 2

    def grip(self):
        """Share of the whole grip at the ring's present place."""
        part = self.s / self.seat
        if self.work == "in":
            return min(1.0, max(0.0, (part - 0.06) / 0.94))
        if part >= 1:
            return 0.0
        if part <= 0.8:
            return 1 - 0.83 * part
        return (1 - 0.83 * 0.8) * (1 - part) / 0.2

    def levels(self):
        grip = self.grip()
        kinetic = self.release / self.ratio * grip
        if self.after:
            kinetic = self.after(self.s, kinetic)
        static = self.release * grip if not self.broke and self.work == "out" else 1.04 * kinetic
        return static, kinetic

    def force(self):
        x = self.u - self.slack - self.s - self.lost
        if self.work == "in" and self.s >= self.seat:
            return self.spring_at_home(x)
        return self.spring(x)

    def spring_at_home(self, x):
        x0 = self.stretch_for(self.levels()[1])
        if x <= x0:
            return self.spring(x)
        stiff = 1 / (1 / self.k + 1 / self.shoulder_k)
        return self.spring(x0) + stiff * (x - x0)

    def advance(self, du):
        self.u += du
        force = self.force()
        if self.slip_at and not self.lost and force > self.slip_at:
            self.lost = self.slip_mm
            return
        if self.work == "in" and self.s >= self.seat:
            return
        static, kinetic = self.levels()
        if du <= 0:
            self.sliding = False
            return
        if not self.sliding:
            if force <= static:
                return
            self.sliding = True
            if not self.broke and self.work == "out":
                self.broke = True
                kinetic = self.levels()[1]
                target = max(0.0, kinetic - self.overshoot * (static - kinetic))
                self.s += max(0.0, self.u - self.slack - self.s - self.lost - self.stretch_for(target))
            return
        if force > kinetic:
            self.s += max(0.0, self.u - self.slack - self.s - self.lost - self.stretch_for(kinetic))
            if self.work == "in":
                self.s = min(self.s, self.seat)


def strokes(speed, size, pause):
    """A hand with a spanner: so many turns at a speed, then a pause."""
    while True:
        t = size / speed
        while t > 0:
            t -= DT
            # starts and ends softly
            yield speed * 1.25 * min(1.0, (size / speed - t) / 0.08 + 0.1, t / 0.08 + 0.1)
        t = pause
        while t > 0:
            t -= DT
            yield 0.0


def steady(speed):
    while True:
        yield speed


def run(press, hand, brisk=None, stop=None, rest=1.2, lead_in=1.0, longest=120.0):
    """All the moments (t, force, turns, ring). Ends when `stop(press)` and a rest, or when the ring has left its seat."""
    out, t, rested = [], 0.0, 0.0
    while t < longest:
        speed = 0.0
        done = stop(press) if stop else press.s >= press.seat and press.u > press.seat + press.slack + 0.3
        if t >= lead_in and not done and not rested:
            speed = next(brisk if brisk and press.broke else hand)
        if done or rested:
            rested += DT
            if rested > rest:
                break
        press.advance(speed * press.pitch * DT)
        out.append((t, press.force(), press.u / press.pitch, press.s))
        t += DT
    return out


def back_off(moments, seconds, pitch=1.25, k=20000.0, speed=0.25, rest=1.0):
    """The screw is turned back until loose."""
    t, force, turns, ring = moments[-1]
    until = t + seconds
    while t < until:
        t += DT
        if force > 0:
            turns -= speed * DT
            force = max(0.0, force - k * pitch * speed * DT)
        moments.append((t, force, turns, ring))
    return moments


class Log:
    def __init__(self, name, moments, rate, noise=2.0, seed=1, start=0.0, step=0.1, turn_step=1 / 1200, jitter=0.0,
                 turn_lag=0.0, zero=0.0):
        rng = random.Random(seed)
        self.name = name
        self.rows = []
        due, i = 0.0, 0
        while i < len(moments):
            t, force, turns, ring = moments[i]
            late = moments[max(0, i - int(turn_lag / DT))]
            shown = round((force + zero + rng.gauss(0, noise)) / step) * step
            counted = math.floor(late[2] / turn_step + 1e-9) * turn_step
            self.rows.append((t + start, shown, counted, late[2] * 1.25, ring))
            due += 1 / rate * (1 + jitter * rng.uniform(-1, 1))
            i = int(round(due / DT))

    def write(self, header, row, eol="\n", last_eol=True):
        with open(os.path.join(HERE, self.name + ".csv"), "w", newline="") as file:
            text = eol.join([header] + [row(*r) for r in self.rows])
            file.write(text + (eol if last_eol else ""))


def plain(t, f, n, travel, ring):
    return f"{t:.3f},{f:.1f},{n:.4f}"


def main():
    careful = lambda speed=0.12, pause=0.6: strokes(speed, 1 / 6, pause)
    brisk = lambda: strokes(0.6, 1 / 3, 0.3)

    log = Log("clean-straight-100hz", run(Press(), careful(), brisk()), 100, seed=11)
    log.write("t_s,force_N,turns", plain)

    # Another logger: CRLF, quoted names, columns of its own, a pre-trigger part with negative times.
    log = Log("clean-off-axis-knee-50hz",
              run(Press(k=14000, release=820, knee=560, knee_k=9000, ratio=1.15), careful(0.1), brisk()), 50, seed=12, start=-2.5)
    log.write('"index","t_s","force_N","temperature_C","turns","note"',
              lambda t, f, n, travel, ring: f'{int((t + 2.5) * 50)},{t:.2f},{f:.1f},21.4,{n:.4f},"ok, ""A"""', eol="\r\n")

    # Slow: five rows a second, a slow hand that pauses often.
    log = Log("clean-slow-5hz", run(Press(release=640), strokes(0.02, 1 / 6, 1.0), strokes(0.3, 1 / 3, 0.4)), 5, noise=3, seed=13)
    log.write("t_s,turns,force_N", lambda t, f, n, travel, ring: f"{t:.1f},{n:.3f},{f:.0f}")

    # Screw travel instead of turns, seconds of the clock on the wall, exponents.
    log = Log("clean-travel-epoch-20hz", run(Press(release=760, ratio=1.4), careful(0.06), brisk()), 20, noise=4, seed=14,
              start=1733742000.0, jitter=0.2)
    log.write("t_s,travel_mm,force_N", lambda t, f, n, travel, ring: f"{t:.4f},{math.floor(travel * 100) / 100:.2f},{f:.5e}")

    # A noisy amplifier that nobody zeroed, and a last line without an end.
    log = Log("clean-noisy-100hz", run(Press(release=700), careful(), brisk(), lead_in=2.0), 100, noise=8, seed=15, zero=9)
    log.write("t_s,force_N,turns", plain, last_eol=False)

    # A hand crank: one steady turning, no pauses.
    log = Log("clean-steady-100hz", run(Press(release=690, slack=0.6), steady(0.15)), 100, noise=2, seed=16)
    log.write("t_s,force_N,turns", plain)

    # Small drop at release: static and kinetic friction nearly alike.
    log = Log("clean-hardly-a-drop-80hz", run(Press(release=720, ratio=1.06, overshoot=0.0), careful(0.1), brisk()), 80, noise=2, seed=17)
    log.write("t_s,force_N,turns", plain)

    # The log ends soon after the release: the mechanic stopped recording there.
    moments = run(Press(release=700), careful(), stop=lambda p: p.s > 1.2)
    Log("clean-cut-after-release-50hz", moments, 50, seed=18).write("t_s,force_N,turns", plain)

    # Snugged by hand before recording began: loaded at the start.
    press = Press(release=800)
    press.u = press.slack + press.stretch_for(300)
    Log("clean-loaded-at-start-50hz", run(press, careful(0.1), brisk()), 50, seed=19).write("t_s,force_N,turns", plain)

    log = Log("loose-50hz", run(Press(release=110), careful(), brisk()), 50, seed=21)
    log.write("t_s,force_N,turns", plain)

    log = Log("bonded-then-release-100hz",
              run(Press(release=4200, ratio=1.0, after=lambda s, kinetic: 600 * max(0.0, 1 - s / 7)), careful(), brisk()), 100, seed=22)
    log.write("t_s,force_N,turns", plain)

    stuck = run(Press(release=1e9), careful(), stop=lambda p: p.force() > 4600)
    Log("seized-50hz", back_off(stuck, 3), 50, seed=23).write("t_s,force_N,turns", plain)

    # On a soft stack the force stays in an unknown fit's wide band, so only the half turn speaks.
    soft = run(Press(k=1500, release=1e9, slack=0.3), careful(), stop=lambda p: p.u > 1.3)
    Log("no-release-soft-stack-20hz", back_off(soft, 4, k=1500), 20, seed=24).write("t_s,force_N,turns", plain)

    # Torn seat: after release the force saws its way up above the release.
    def galled(s, kinetic):
        return kinetic if s < 0.9 else max(kinetic, 700 * (0.75 + 0.33 * (s - 0.9)) * (0.75 + 0.25 * ((s * 2.3) % 1.0)))
    log = Log("galled-50hz", run(Press(release=700, after=galled), careful(), brisk()), 50, seed=25)
    log.write("t_s,force_N,turns", plain)

    # Cocked: a knee, then the force climbs on far beyond, turn after turn, and no release.
    cocked = run(Press(k=12000, release=1e9, knee=420, knee_k=5000), careful(0.1), stop=lambda p: p.force() > 2300)
    Log("cocked-50hz", back_off(cocked, 3, k=12000), 50, seed=26).write("t_s,force_N,turns", plain)

    log = Log("drift-slips-80hz", run(Press(release=740, slip_at=520), careful(), brisk()), 80, seed=27)
    log.write("t_s,force_N,turns", plain)

    # Over a turn a second on a slow logger: the release passed between two rows.
    log = Log("fast-hand-5hz", run(Press(), steady(1.3)), 5, noise=3, seed=28)
    log.write("t_s,force_N,turns", plain)

    # Pressing in. Home shows as a sharp kink.
    home = run(Press(work="in", release=640, ratio=1.0, seat=7), steady(0.2), stop=lambda p: p.s >= 7 and p.force() > 1500)
    Log("press-in-home-50hz", back_off(home, 2), 50, seed=31).write("t_s,force_N,turns", plain)
    home = run(Press(work="in", release=640, ratio=1.0, seat=7), careful(0.18, 0.4), stop=lambda p: p.s >= 7 and p.force() > 1400)
    Log("press-in-home-strokes-20hz", back_off(home, 2), 20, seed=32).write("t_s,force_N,turns", plain)
    over = run(Press(work="in", release=640, ratio=1.0, seat=7), steady(0.2), stop=lambda p: p.s >= 7 and p.force() > 4700)
    Log("press-in-driven-on-50hz", back_off(over, 2), 50, seed=33).write("t_s,force_N,turns", plain)
    short = run(Press(work="in", release=640, ratio=1.0, seat=7), steady(0.2), stop=lambda p: p.s >= 4.6)
    Log("press-in-not-home-50hz", back_off(short, 2), 50, seed=34).write("t_s,force_N,turns", plain)
    tight = run(Press(work="in", release=2300, ratio=1.0, seat=7), steady(0.2), stop=lambda p: p.s >= 5.5)
    Log("press-in-far-too-tight-50hz", back_off(tight, 2), 50, seed=35).write("t_s,force_N,turns", plain)

    # Only force.
    log = Log("clean-force-only-50hz", run(Press(release=710), careful(), brisk()), 50, seed=36)
    log.write("t_s,force_N", lambda t, f, n, travel, ring: f"{t:.2f},{f:.1f}")
    bond = run(Press(release=3800, ratio=1.0, after=lambda s, kinetic: 500 * max(0.0, 1 - s / 7)), careful(), brisk())
    Log("bonded-force-only-50hz", bond, 50, seed=37).write("t_s,force_N", lambda t, f, n, travel, ring: f"{t:.2f},{f:.1f}")

    # An inner-ring drift with a gauge on the ring itself.
    log = Log("clean-with-ring-gauge-20hz", run(Press(release=720), careful(0.07), brisk()), 20, seed=38)
    log.write("t_s,force_N,turns,ring_travel_mm", lambda t, f, n, travel, ring: f"{t:.2f},{f:.1f},{n:.4f},{ring:.3f}")


if __name__ == "__main__":
    main()
