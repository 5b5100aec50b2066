-- Which ends lie near which, and two quick tours: shortest edge first, and nearest end next.
--
-- Points are numbered from 1; X and Y are whole micrometres, S the rank of a point, mate the other
-- end of an open line (0 for none). Only + - * / sqrt and floor are used on numbers that doubles
-- hold exactly, so every Lua on every machine gives the same answer.

local floor, sqrt, max = math.floor, math.sqrt, math.max
local near = {}

-- Sort points of one group into square cells, about two in each.
local function cells(group, X, Y)
  local m = #group
  local left, low, right, high = X[group[1]], Y[group[1]], X[group[1]], Y[group[1]]
  for k = 2, m do
    local x, y = X[group[k]], Y[group[k]]
    if x < left then left = x elseif x > right then right = x end
    if y < low then low = y elseif y > high then high = y end
  end
  local side = sqrt((right - left + 1) * (high - low + 1) / m * 2)
  local least = (max(right - left, high - low) + 1) / 1000
  if side < least then side = least end
  local cols, rows = floor((right - left) / side) + 1, floor((high - low) / side) + 1
  local head, link = {}, {}
  for c = 1, cols * rows do head[c] = 0 end
  for k = m, 1, -1 do
    local i = group[k]
    local c = floor((Y[i] - low) / side) * cols + floor((X[i] - left) / side) + 1
    link[i] = head[c]
    head[c] = i
  end
  return { left = left, low = low, side = side, cols = cols, rows = rows, head = head, link = link }
end

local function by_rank(n, S)
  local groups, ranks = {}, {}
  for i = 1, n do
    local group = groups[S[i]]
    if not group then
      group = {}
      groups[S[i]] = group
      ranks[#ranks + 1] = S[i]
    end
    group[#group + 1] = i
  end
  table.sort(ranks)
  return groups, ranks
end

-- The k nearest points of the same rank for each point, nearest first, 0 where there are fewer.
-- A crowd in one cell is looked at up to a limit only: a thousand points on one spot are all near.
function near.lists(n, X, Y, S, mate, k)
  local lists, best, bestd = {}, {}, {}
  local groups, ranks = by_rank(n, S)
  local crowd = 64 * k
  for r = 1, #ranks do
    local group = groups[ranks[r]]
    local grid = cells(group, X, Y)
    local side, cols, rows, head, link = grid.side, grid.cols, grid.rows, grid.head, grid.link
    for g = 1, #group do
      local i = group[g]
      local x, y = X[i], Y[i]
      local cx, cy = floor((x - grid.left) / side), floor((y - grid.low) / side)
      local got, ring, seen = 0, 0, 0
      while true do
        for gy = max(cy - ring, 0), cy + ring < rows and cy + ring or rows - 1 do
          local step = (gy == cy - ring or gy == cy + ring or ring == 0) and 1 or 2 * ring
          for gx = cx - ring, cx + ring, step do
            local j = gx >= 0 and gx < cols and head[gy * cols + gx + 1] or 0
            while j ~= 0 and seen < crowd do
              if j ~= i and mate[i] ~= j then
                seen = seen + 1
                local dx, dy = x - X[j], y - Y[j]
                local d = dx * dx + dy * dy
                if got < k or d < bestd[got] then
                  if got < k then got = got + 1 end
                  local p = got
                  while p > 1 and bestd[p - 1] > d do
                    bestd[p], best[p] = bestd[p - 1], best[p - 1]
                    p = p - 1
                  end
                  bestd[p], best[p] = d, j
                end
              end
              j = link[j]
            end
          end
        end
        local reach = ring * side
        local all = cx - ring <= 0 and cy - ring <= 0 and cx + ring >= cols - 1 and cy + ring >= rows - 1
        if all or (got == k and (bestd[k] <= reach * reach or seen >= crowd)) then break end
        ring = ring + 1
      end
      for q = 1, k do lists[(i - 1) * k + q] = q <= got and best[q] or 0 end
    end
  end
  return lists
end

-- Fragments by shortest edge first, until each rank is one path; `a` and `b` are the neighbours.
local function fragments(n, X, Y, S, mate, k)
  local a, b, root = {}, {}, {}
  for i = 1, n do a[i], b[i], root[i] = 0, 0, i end
  local function find(i)
    while root[i] ~= i do
      root[i] = root[root[i]]
      i = root[i]
    end
    return i
  end
  local function join(i, j)
    if a[i] == 0 then a[i] = j else b[i] = j end
    if a[j] == 0 then a[j] = i else b[j] = i end
    root[find(i)] = find(j)
  end
  for i = 1, n do
    if mate[i] > i then join(i, mate[i]) end
  end
  while true do
    local ends, x, y, s, other, first = {}, {}, {}, {}, {}, {}
    local m, several, whole = 0, false, {}
    for i = 1, n do
      if b[i] == 0 then
        m = m + 1
        ends[m], x[m], y[m], s[m], other[m] = i, X[i], Y[i], S[i], 0
        local r = find(i)
        local partner = first[r]
        if partner then
          other[m], other[partner] = partner, m
        else
          first[r] = m
        end
        if whole[S[i]] and whole[S[i]] ~= r then several = true end
        whole[S[i]] = r
      end
    end
    if not several then return a, b end
    local lists, keys, count = near.lists(m, x, y, s, other, k), {}, 0
    for i = 1, m do
      for q = (i - 1) * k + 1, i * k do
        local j = lists[q]
        if j ~= 0 then
          local dx, dy = x[i] - x[j], y[i] - y[j]
          count = count + 1
          keys[count] = floor(sqrt(dx * dx + dy * dy) + 0.5) * 16777216 + q
        end
      end
    end
    table.sort(keys)
    for c = 1, count do
      local q = keys[c] % 16777216
      local i, j = ends[floor((q - 1) / k) + 1], ends[lists[q]]
      if b[i] == 0 and b[j] == 0 and find(i) ~= find(j) then join(i, j) end
    end
  end
end

-- A tour from point 1 (home, alone in its rank) through the ranks, shortest edge first.
function near.greedy(n, X, Y, S, mate, k)
  local a, b = fragments(n, X, Y, S, mate, k)
  local groups, ranks = by_rank(n, S)
  local tour, at = {}, 1
  for r = 1, #ranks do
    local group, begin, reach = groups[ranks[r]], 0, 0
    for g = 1, #group do
      local i = group[g]
      if b[i] == 0 then
        local dx, dy = X[i] - X[at], Y[i] - Y[at]
        local d = dx * dx + dy * dy
        if begin == 0 or d < reach then begin, reach = i, d end
      end
    end
    local last, i = 0, begin
    while i ~= 0 do
      tour[#tour + 1] = i
      at = i
      local to = a[i]
      if to == last then to = b[i] end
      if to == last then to = 0 end
      last, i = i, to
    end
  end
  return tour
end

-- Always the nearest point next, rank by rank: returns the points at which lines are entered.
-- owner tells whose a point is, leave where its line is left; points of one owner count once.
function near.walk(n, X, Y, S, owner, leave, x, y)
  local entered, used = {}, {}
  local groups, ranks = by_rank(n, S)
  for r = 1, #ranks do
    local group, left = groups[ranks[r]], 0
    for g = 1, #group do
      if not used[owner[group[g]]] then
        used[owner[group[g]]] = true
        left = left + 1
      end
    end
    for g = 1, #group do used[owner[group[g]]] = nil end
    local grid = cells(group, X, Y)
    local side, cols, rows, head, link = grid.side, grid.cols, grid.rows, grid.head, grid.link
    while left > 0 do
      local cx, cy = floor((x - grid.left) / side), floor((y - grid.low) / side)
      local best, bestd, ring = 0, 0, 0
      if cx < 0 then ring = -cx elseif cx >= cols then ring = cx - cols + 1 end
      if -cy > ring then ring = -cy elseif cy - rows + 1 > ring then ring = cy - rows + 1 end
      while true do
        for gy = max(cy - ring, 0), cy + ring < rows and cy + ring or rows - 1 do
          local step = (gy == cy - ring or gy == cy + ring or ring == 0) and 1 or 2 * ring
          for gx = cx - ring, cx + ring, step do
            if gx >= 0 and gx < cols then
              local cell = gy * cols + gx + 1
              local j, before = head[cell], 0
              while j ~= 0 do
                if used[owner[j]] then
                  if before == 0 then head[cell] = link[j] else link[before] = link[j] end
                else
                  local dx, dy = x - X[j], y - Y[j]
                  local d = dx * dx + dy * dy
                  if best == 0 or d < bestd or (d == bestd and j < best) then best, bestd = j, d end
                  before = j
                end
                j = link[j]
              end
            end
          end
        end
        local reach = ring * side
        if best ~= 0 and bestd <= reach * reach then break end
        if cx - ring <= 0 and cy - ring <= 0 and cx + ring >= cols - 1 and cy + ring >= rows - 1 then break end
        ring = ring + 1
      end
      entered[#entered + 1] = best
      used[owner[best]] = true
      left = left - 1
      x, y = X[leave[best]], Y[leave[best]]
    end
  end
  return entered
end

return near
