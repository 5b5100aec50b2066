-- The best order of a small job, by dynamic programming over sets of lines (Held and Karp 1962),
-- rank after rank: what each rank may end with is handed to the next.
--
-- A choice is one way to work a line: where it is entered and left, and what that costs in itself.
-- groups: list of { line, x, y, leave_x, leave_y, own, after } with one entry a choice; line counts
-- from 1 in its group; after[c][v] is the cost of choice c when line v has been worked before it.

local huge = math.huge

return function(groups, measure, home_x, home_y)
  local ends = { { x = home_x, y = home_y, cost = 0 } } -- what the rank before may end with
  for g = 1, #groups do
    local group = groups[g]
    local line, x, y, own, after = group.line, group.x, group.y, group.own, group.after
    local lx, ly = group.leave_x, group.leave_y
    local count, lines = #line, 0
    for c = 1, count do
      if line[c] > lines then lines = line[c] end
    end
    local full = 2 ^ lines
    local bit = {}
    for v = 1, lines do bit[v] = 2 ^ (v - 1) end
    local function has(set, v) return math.floor(set / bit[v]) % 2 == 1 end
    local function extra(c, set)
      local sum = own[c]
      for v = 1, lines do
        if has(set, v) then sum = sum + after[c][v] end
      end
      return sum
    end
    local cost, back, entered = {}, {}, {}
    for s = 0, full * count - 1 do cost[s + 1], back[s + 1] = huge, 0 end
    for c = 1, count do
      local most, which = huge, 0
      for e = 1, #ends do
        local d = ends[e].cost + measure(ends[e].x - x[c], ends[e].y - y[c])
        if d < most then most, which = d, e end
      end
      entered[c] = which
      cost[bit[line[c]] * count + c] = most + own[c]
    end
    local step = {}
    for c = 1, count do
      step[c] = {}
      for d = 1, count do step[c][d] = measure(lx[c] - x[d], ly[c] - y[d]) end
    end
    for set = 1, full - 1 do
      for d = 1, count do
        if not has(set, line[d]) then
          local more, to = extra(d, set), set + bit[line[d]]
          local most, which = huge, 0
          for c = 1, count do
            local sum = cost[set * count + c] + step[c][d]
            if sum < most then most, which = sum, c end
          end
          if most + more < cost[to * count + d] then
            cost[to * count + d], back[to * count + d] = most + more, which
          end
        end
      end
    end
    local last = {}
    for c = 1, count do
      if cost[(full - 1) * count + c] < huge then
        last[#last + 1] = { x = lx[c], y = ly[c], cost = cost[(full - 1) * count + c], choice = c }
      end
    end
    group.trace = function(final)
      local picked, set, c = {}, full - 1, last[final].choice
      while true do
        picked[#picked + 1] = c
        local previous = back[set * count + c]
        if previous == 0 then return picked, entered[c] end
        set, c = set - bit[line[c]], previous
      end
    end
    ends = last
  end
  local most, which = huge, 0
  for e = 1, #ends do
    local sum = ends[e].cost + measure(ends[e].x - home_x, ends[e].y - home_y)
    if sum < most then most, which = sum, e end
  end
  local turns = {}
  for g = #groups, 1, -1 do
    local picked
    picked, which = groups[g].trace(which)
    turns[g] = picked -- last choice first
  end
  return most, turns
end
